import type { Aspect, Side, Site } from "@acral/analysis/skin";

export type Language = "en" | "de" | "fr" | "es" | "nl" | "it";

export interface SiteMeaning {
  site: Site;
  side?: Side;
  aspect?: Aspect;
  /** 1: the word can mean nothing else here; less: it is vague or an abbreviation. */
  confidence: number;
  languages: readonly Language[];
}

type Row = readonly [
  site: Site,
  words: Partial<Record<Language, string>>,
  more?: Partial<Omit<SiteMeaning, "site">>,
];

/** Words for skin sites, without accents, separated by commas. Common anatomical and everyday vocabulary. */
const rows: readonly Row[] = [
  [
    "forehead",
    { en: "forehead,brow", de: "stirn", fr: "front", es: "frente", nl: "voorhoofd", it: "fronte" },
  ],
  [
    "forehead",
    { en: "head,fh", de: "kopf", fr: "tete", es: "cabeza", nl: "hoofd", it: "testa" },
    { confidence: 0.5 },
  ],
  ["temple", { en: "temple", de: "schlafe,schlaefe", fr: "tempe", es: "sien", nl: "slaap", it: "tempia" }],
  ["cheek", { en: "cheek", de: "wange,backe", fr: "joue", es: "mejilla", nl: "wang", it: "guancia" }],
  [
    "nose",
    {
      en: "nose,nose tip,tip of the nose",
      de: "nase,nasenspitze",
      fr: "nez,bout du nez",
      es: "nariz",
      nl: "neus",
      it: "naso",
    },
  ],
  [
    "ear",
    {
      en: "ear,earlobe,ear lobe",
      de: "ohr,ohrlappchen,ohrlaeppchen",
      fr: "oreille",
      es: "oreja",
      nl: "oor",
      it: "orecchio",
    },
  ],
  ["neck", { en: "neck", de: "hals", fr: "cou", es: "cuello", nl: "hals", it: "collo" }],
  [
    "neck",
    {
      en: "nape,back of the neck,back of neck",
      de: "nacken,genick",
      fr: "nuque",
      es: "nuca",
      nl: "nek",
      it: "nuca",
    },
    { aspect: "posterior" },
  ],
  [
    "chest",
    {
      en: "chest,breast,pectoral,pectoralis,thorax",
      de: "brust,brustkorb",
      fr: "poitrine,thorax,torse,pectoral",
      es: "pecho,torax",
      nl: "borst,borstkas",
      it: "petto,torace",
    },
  ],
  [
    "chest",
    { en: "sternum,breastbone", de: "brustbein", es: "esternon", nl: "borstbeen", it: "sterno" },
    { side: "midline", confidence: 0.9 },
  ],
  [
    "scapula",
    {
      en: "scapula,shoulder blade,scap",
      de: "schulterblatt",
      fr: "omoplate,scapula",
      es: "escapula,omoplato",
      nl: "schouderblad",
      it: "scapola",
    },
  ],
  [
    "upper back",
    {
      en: "upper back,trapezius",
      de: "oberer rucken,oberer ruecken,rucken oben,ruecken oben,oberrucken",
      fr: "haut du dos,haut dos,dos haut",
      es: "espalda alta,espalda superior,parte superior de la espalda",
      nl: "bovenrug,rug boven",
      it: "schiena alta,parte alta della schiena,dorso superiore",
    },
  ],
  [
    "upper back",
    { en: "back", de: "rucken,ruecken", fr: "dos", es: "espalda", nl: "rug", it: "schiena" },
    { confidence: 0.5 },
  ],
  [
    "abdomen",
    {
      en: "abdomen,belly,stomach,abd",
      de: "bauch,abdomen",
      fr: "abdomen,ventre",
      es: "abdomen,vientre",
      nl: "buik",
      it: "addome,pancia",
    },
  ],
  [
    "lower back",
    {
      en: "lower back,lumbar,low back,loin",
      de: "unterer rucken,unterer ruecken,rucken unten,ruecken unten,lende,lendenwirbel",
      fr: "bas du dos,lombaire,lombaires,dos bas",
      es: "espalda baja,lumbar,zona lumbar",
      nl: "onderrug,lende,rug onder",
      it: "lombare,zona lombare,schiena bassa",
    },
  ],
  [
    "buttock",
    {
      en: "buttock,buttocks,gluteus,gluteal",
      de: "gesass,gesaess",
      fr: "fesse",
      es: "gluteo,nalga",
      nl: "bil",
      it: "gluteo,natica",
    },
  ],
  [
    "shoulder",
    { en: "shoulder,deltoid", de: "schulter", fr: "epaule", es: "hombro", nl: "schouder", it: "spalla" },
  ],
  [
    "upper arm",
    {
      en: "upper arm,upperarm,ua",
      de: "oberarm",
      fr: "bras superieur,haut du bras",
      es: "brazo superior",
      nl: "bovenarm",
      it: "braccio superiore",
    },
  ],
  [
    "upper arm",
    { en: "arm", de: "arm", fr: "bras", es: "brazo", nl: "arm", it: "braccio" },
    { confidence: 0.5 },
  ],
  [
    "upper arm",
    { en: "biceps", de: "bizeps", fr: "biceps", es: "biceps", nl: "biceps", it: "bicipite" },
    { aspect: "anterior", confidence: 0.9 },
  ],
  [
    "upper arm",
    { en: "triceps", de: "trizeps", fr: "triceps", es: "triceps", nl: "triceps", it: "tricipite" },
    { aspect: "posterior", confidence: 0.9 },
  ],
  [
    "elbow",
    { en: "elbow", de: "ellbogen,ellenbogen", fr: "coude", es: "codo", nl: "elleboog", it: "gomito" },
  ],
  [
    "forearm",
    {
      en: "forearm,fore arm,lower arm,fa",
      de: "unterarm,vorderarm",
      fr: "avant bras,avantbras",
      es: "antebrazo",
      nl: "onderarm",
      it: "avambraccio",
    },
  ],
  ["wrist", { en: "wrist", de: "handgelenk", fr: "poignet", es: "muneca", nl: "pols", it: "polso" }],
  ["hand", { en: "hand", de: "hand", fr: "main", es: "mano", nl: "hand", it: "mano" }],
  [
    "hand",
    {
      en: "palm,palm of the hand,palm of hand,hand palm",
      de: "handflache,handflaeche,handteller,hohlhand",
      fr: "paume,paume de la main,paume main",
      es: "palma,palma de la mano,palma mano",
      nl: "handpalm",
      it: "palmo,palmo della mano,palmo mano",
    },
    { aspect: "palmar" },
  ],
  [
    "hand",
    {
      en: "back of the hand,back of hand,hand back,dorsum of the hand,dorsum hand",
      de: "handrucken,handruecken",
      fr: "dos de la main,dos main,main dos",
      es: "dorso de la mano,dorso mano",
      nl: "handrug,rug van de hand",
      it: "dorso della mano,dorso mano",
    },
    { aspect: "dorsal" },
  ],
  [
    "finger",
    {
      en: "finger,thumb,fing",
      de: "finger,daumen",
      fr: "doigt,pouce",
      es: "dedo,dedo de la mano,pulgar",
      nl: "vinger,duim",
      it: "dito,dito della mano,pollice",
    },
  ],
  [
    "fingertip",
    {
      en: "fingertip,finger tip,fingertips,tip of the finger",
      de: "fingerspitze,fingerkuppe,fingerbeere",
      fr: "bout du doigt,bout doigt,pulpe,pulpe du doigt",
      es: "yema,yema del dedo,punta del dedo,punta dedo",
      nl: "vingertop",
      it: "polpastrello,punta del dito,punta dito",
    },
  ],
  [
    "thigh",
    {
      en: "thigh,upper leg",
      de: "oberschenkel",
      fr: "cuisse",
      es: "muslo",
      nl: "bovenbeen,dij",
      it: "coscia",
    },
  ],
  [
    "thigh",
    {
      en: "quadriceps,quad,quads",
      de: "quadrizeps",
      fr: "quadriceps",
      es: "cuadriceps",
      nl: "quadriceps",
      it: "quadricipite",
    },
    { aspect: "anterior", confidence: 0.9 },
  ],
  [
    "thigh",
    { en: "hamstring,hamstrings", fr: "ischio jambiers", es: "isquiotibiales", nl: "hamstring" },
    { aspect: "posterior", confidence: 0.9 },
  ],
  [
    "knee",
    {
      en: "knee,kneecap,patella",
      de: "knie,kniescheibe",
      fr: "genou",
      es: "rodilla",
      nl: "knie",
      it: "ginocchio",
    },
  ],
  [
    "knee",
    { en: "back of the knee,popliteal", de: "kniekehle", fr: "creux poplite", nl: "knieholte" },
    { aspect: "posterior" },
  ],
  [
    "calf",
    {
      en: "calf,gastrocnemius,gastroc",
      de: "wade",
      fr: "mollet",
      es: "pantorrilla,gemelo",
      nl: "kuit",
      it: "polpaccio",
    },
  ],
  [
    "calf",
    {
      en: "lower leg,leg",
      de: "unterschenkel,bein",
      fr: "jambe",
      es: "pierna",
      nl: "onderbeen,been",
      it: "gamba",
    },
    { confidence: 0.5 },
  ],
  [
    "shin",
    {
      en: "shin,tibia,tibialis",
      de: "schienbein",
      fr: "tibia",
      es: "espinilla,tibia",
      nl: "scheen,scheenbeen",
      it: "tibia,stinco",
    },
  ],
  [
    "ankle",
    {
      en: "ankle,malleolus",
      de: "knochel,knoechel,fussgelenk",
      fr: "cheville",
      es: "tobillo",
      nl: "enkel",
      it: "caviglia",
    },
  ],
  ["heel", { en: "heel", de: "ferse", fr: "talon", es: "talon", nl: "hiel,hak", it: "tallone" }],
  ["foot", { en: "foot", de: "fuss", fr: "pied", es: "pie", nl: "voet", it: "piede" }],
  [
    "foot",
    {
      en: "sole,sole of the foot,sole of foot",
      de: "fusssohle,sohle",
      fr: "plante du pied,plante pied",
      es: "planta,planta del pie,planta pie",
      nl: "voetzool",
      it: "pianta del piede,pianta piede",
    },
    { aspect: "plantar" },
  ],
  [
    "foot",
    {
      en: "dorsum of the foot,top of the foot,foot dorsum",
      de: "fussrucken,fussruecken",
      fr: "dos du pied,dessus du pied",
      es: "dorso del pie",
      nl: "voetrug",
      it: "dorso del piede",
    },
    { aspect: "dorsal" },
  ],
  [
    "toe",
    {
      en: "toe,big toe,great toe,hallux",
      de: "zehe,zeh,grosszehe,grosszeh",
      fr: "orteil,gros orteil",
      es: "dedo del pie,dedo pie,dedo gordo",
      nl: "teen,grote teen",
      it: "dito del piede,dito piede,alluce",
    },
  ],
  [
    "instep",
    { en: "instep", de: "spann,rist", fr: "cou de pied", es: "empeine", nl: "wreef", it: "collo del piede" },
  ],
];

function build(): Map<string, SiteMeaning> {
  const meanings = new Map<string, SiteMeaning>();
  for (const [site, words, more] of rows) {
    for (const [language, list] of Object.entries(words) as [Language, string][]) {
      for (const phrase of list.split(",")) {
        const before = meanings.get(phrase);
        if (before !== undefined && before.site !== site) continue;
        const languages = before === undefined ? [language] : [...before.languages, language];
        const short = phrase.length <= 4 && /^(fh|ua|fa|abd|scap|fing)$/.test(phrase);
        meanings.set(phrase, { site, confidence: short ? 0.6 : 1, ...more, languages });
      }
    }
  }
  return meanings;
}

/** Phrase (words joined by one space) to what it means. */
export const siteMeanings: ReadonlyMap<string, SiteMeaning> = build();

export const longestSitePhrase = Math.max(
  ...[...siteMeanings.keys()].map((phrase) => phrase.split(" ").length),
);
