import type { Aspect, Side, Statistic } from "@acral/analysis/skin";
import type { Language } from "./site-words";

export interface SideMeaning {
  side: Side;
  confidence: number;
  /** A single letter counts only beside a site word of these languages. */
  languages?: readonly Language[];
}

/** What an aspect word says before the site is known; hands and feet call their faces by other names than limbs. */
export type AspectWord = Aspect | "front" | "back" | "inner" | "outer";

function table<T>(rows: readonly (readonly [T, string])[]): ReadonlyMap<string, T> {
  const map = new Map<string, T>();
  for (const [value, words] of rows) for (const word of words.split(" ")) map.set(word, value);
  return map;
}

const left = { side: "left", confidence: 1 } as const;
const right = { side: "right", confidence: 1 } as const;
const midline = { side: "midline", confidence: 0.95 } as const;

export const sideMeanings: ReadonlyMap<string, SideMeaning> = table<SideMeaning>([
  [
    left,
    "left links linke linker linkes linkem gauche izquierda izquierdo izq sinistra sinistro sx lh lft esquerda esquerdo esq",
  ],
  [
    right,
    "right rechts rechte rechter rechtes rechtem droite droit derecha derecho dcha dcho destra destro dx rh rgt direita direito dto dta",
  ],
  [{ side: "left", confidence: 0.95 }, "l li lt lk lks"],
  [{ side: "right", confidence: 0.95 }, "r re rt rts"],
  [{ side: "left", confidence: 0.85, languages: ["fr"] }, "g ga"],
  [{ side: "left", confidence: 0.85, languages: ["es"] }, "i iz"],
  [{ side: "left", confidence: 0.85, languages: ["it"] }, "s"],
  [{ side: "right", confidence: 0.85, languages: ["fr", "es", "it", "pt"] }, "d"],
  [{ side: "left", confidence: 0.85, languages: ["pt"] }, "e"],
  [{ side: "right", confidence: 0.85, languages: ["fr"] }, "dr"],
  [{ side: "right", confidence: 0.85, languages: ["es"] }, "der"],
  [
    midline,
    "midline middle mid mitte mittig central centre center centro centrale centraal midden milieu meio",
  ],
]);

export const aspectMeanings: ReadonlyMap<string, AspectWord> = table<AspectWord>([
  [
    "front",
    "anterior ant front frontal vorn vorne vorder vorderseite vordere vorderer ventral ventr avant anterieur anterieure anteriore frontale delantero delantera voor voorkant voorzijde voorste frente",
  ],
  [
    "back",
    "posterior post back rear hinten hinter hinterseite hintere ruckseite rueckseite arriere posterieur posterieure posteriore trasero trasera achter achterkant achterzijde achterste tras traseira",
  ],
  [
    "inner",
    "medial med inner inside innen innenseite interne interno interna mediale interior binnen binnenkant binnenzijde",
  ],
  [
    "outer",
    "lateral lat outer outside aussen aussenseite seitlich seitliche externe externo externa laterale exterior buiten buitenkant buitenzijde",
  ],
  ["palmar", "palmar palm palmare palmaire volar volare"],
  ["dorsal", "dorsal dors dors dorsum dorso dorsale dorsaal"],
  ["plantar", "plantar plant plantare plantaire sole"],
  [
    "whole",
    "whole entire all ganz gesamt total entier entiere entero entera intero intera geheel circumference",
  ],
]);

/** Words of a back face that mean something else in other languages, and so count only beside a site of their own. */
export const backWordsOfLanguage: ReadonlyMap<string, Language> = new Map([
  ["dos", "fr"],
  ["rug", "nl"],
]);

export const statisticMeanings: ReadonlyMap<string, Statistic> = table<Statistic>([
  [
    "mean",
    "mean avg average mw mittel mittelwert mittlere durchschnitt moyenne moyen moy media promedio prom gemiddelde gemiddeld gem medio tmean tavg",
  ],
  [
    "maximum",
    "max maximum maximal maximalwert maxi maximale maximo maxima massimo massima hottest peak tmax",
  ],
  ["minimum", "min minimum minimal minimalwert mini minimale minimo minima coldest tmin"],
  ["standard deviation", "sd std stdev stddev stabw standardabweichung standaardafwijking"],
  [
    "point",
    "point spot punkt punto punt sensor sonde sonda sensore thermistor thermocouple thermoelement thermokoppel termopar termocoppia probe contact",
  ],
]);

/** Statistics of several words. */
export const statisticPhrases: readonly (readonly [phrase: string, statistic: Statistic])[] = [
  ["standard deviation", "standard deviation"],
  ["std dev", "standard deviation"],
  ["ecart type", "standard deviation"],
  ["desviacion estandar", "standard deviation"],
  ["desviacion tipica", "standard deviation"],
  ["desvio padrao", "standard deviation"],
  ["desvio estandar", "standard deviation"],
  ["deviazione standard", "standard deviation"],
];

/** Statistics that a trace cannot have; a column with one is left out rather than taken for a mean. */
export const otherStatistics: ReadonlySet<string> = new Set(
  "median mediane mediana mediaan var variance varianz range spannweite count pixels pixel px n area skewness kurtosis sem se".split(
    " ",
  ),
);

/** Words that say nothing about which region it is. */
export const fillerWords: ReadonlySet<string> = new Set(
  (
    "t temp temperature temperatures temperatur temperaturen temperatura temperaturas temperatuur tsk ts tskin sk skin haut hauttemperatur peau piel huid pelle " +
    "cutanea cutanee region roi area of the de la le les du des del della dello der die das van il lo el los las el and und et en y e in an am at im " +
    "zone zona feld site stelle value wert values valeur valor waarde valore da do das dos na no pele com deg degc c celsius grad " +
    "face faccia cara side seite lato lado cote kant zijde aspect aspetto aspecto"
  ).split(" "),
);
