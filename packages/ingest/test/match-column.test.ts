import { describe, expect, test } from "vitest";
import { matchColumn } from "../src/match/match-column";

const context = { defaultStatistic: "mean" } as const;

function match(...parts: string[]) {
  const { use, unit, confidence, doubts } = matchColumn(parts, context);
  const target =
    use.kind === "region" ? `${use.regionId} ${use.statistic}` : use.kind === "channel" ? use.channel : null;
  return { target, unit, confidence, doubts: doubts.map((doubt) => doubt.kind) };
}

describe("a name that says everything is matched without doubt", () => {
  test.each([
    ["Left hand, dorsal, mean (°C)", "hand-left-dorsal mean"],
    ["hand_l_dors_max", "hand-left-dorsal maximum"],
    ["HandRightPalmarMin", "hand-right-palmar minimum"],
    ["lefthand dorsal avg", "hand-left-dorsal mean"],
    ["Fingertip R palm std [K]", "fingertip-right-palmar standard deviation"],
    ["Forearm, front, left: mean", "forearm-left-anterior mean"],
    ["back of the hand L average", "hand-left-dorsal mean"],
    ["thigh outer R mean", "thigh-right-lateral mean"],
    ["nose max", "nose-midline-anterior maximum"],
    ["calf left back mean", "calf-left-posterior mean"],
    ["Handrücken li. Mittelwert", "hand-left-dorsal mean"],
    ["Handruecken re Max", "hand-right-dorsal maximum"],
    ["Oberschenkel rechts vorne Mittel", "thigh-right-anterior mean"],
    ["Fußsohle links min", "foot-left-plantar minimum"],
    ["Schulterblatt re. Mittel", "scapula-right-posterior mean"],
    ["dos de la main gauche, moyenne", "hand-left-dorsal mean"],
    ["avant-bras droit antérieur moy.", "forearm-right-anterior mean"],
    ["plante du pied g. max", "foot-left-plantar maximum"],
    ["palma de la mano izquierda máx", "hand-left-palmar maximum"],
    ["antebrazo der. anterior media", "forearm-right-anterior mean"],
    ["handrug links gemiddelde", "hand-left-dorsal mean"],
    ["bovenbeen rechts voor gem.", "thigh-right-anterior mean"],
    ["dorso della mano sinistra media", "hand-left-dorsal mean"],
    ["pianta del piede dx massimo", "foot-right-plantar maximum"],
    ["Stirn Maximum", "forehead-midline-anterior maximum"],
    ["dorso da mão esquerda média", "hand-left-dorsal mean"],
    ["coxa direita anterior máximo", "thigh-right-anterior maximum"],
    ["antebraço esq. anterior média", "forearm-left-anterior mean"],
    ["planta do pé direita mínimo", "foot-right-plantar minimum"],
    ["escápula direita média", "scapula-right-posterior mean"],
    ["joelho esquerdo anterior média", "knee-left-anterior mean"],
    ["main gauche dos moy.", "hand-left-dorsal mean"],
    ["Left fingertip palmar Tmax", "fingertip-left-palmar maximum"],
    ["peak palm left", "hand-left-palmar maximum"],
    ["linkerhand, rug, gemiddelde", "hand-left-dorsal mean"],
    ["Avant-bras gauche (face antérieure) moy.", "forearm-left-anterior mean"],
    ["cara anterior del muslo izq. media", "thigh-left-anterior mean"],
  ])("%s", (name, target) => {
    expect(match(name)).toMatchObject({ target, doubts: [] });
  });

  test.each([
    ["heart rate [bpm]", "heart rate"],
    ["HR", "heart rate"],
    ["Herzfrequenz (1/min)", "heart rate"],
    ["fréquence cardiaque", "heart rate"],
    ["Power (W)", "power"],
    ["Leistung", "power"],
    ["T_core", "core temperature"],
    ["Room RH", "relative humidity"],
    ["Raum (%)", "relative humidity"],
    ["Raum [°C]", "air temperature"],
    ["Luft-Geschwindigkeit (m/s)", "air speed"],
    ["Rektaltemperatur [°C]", "core temperature"],
    ["T_air", "air temperature"],
    ["Raumtemperatur", "air temperature"],
    ["temperatura ambiente", "air temperature"],
    ["RH (%)", "relative humidity"],
    ["luchtvochtigheid", "relative humidity"],
    ["black body", "reference surface temperature"],
    ["cadence (rpm)", "cadence"],
    ["VO2 [L/min]", "oxygen uptake"],
  ])("%s", (name, target) => {
    expect(match(name)).toMatchObject({ target, doubts: [] });
  });
});

describe("what a name leaves open is a doubt", () => {
  test("no statistic", () => {
    expect(match("left hand dorsal")).toMatchObject({
      target: "hand-left-dorsal mean",
      doubts: ["statistic"],
    });
  });

  test("no aspect", () => {
    expect(match("left hand mean")).toMatchObject({ target: "hand-left-dorsal mean", doubts: ["aspect"] });
  });

  test("no side, where the catalogue has only left and right", () => {
    expect(match("hand dorsal mean")).toMatchObject({ target: null, doubts: ["side"] });
  });

  test("no side, where a midline region exists beside", () => {
    expect(match("chest mean")).toMatchObject({ target: "chest-midline-anterior mean", doubts: ["side"] });
  });

  test("a vague site", () => {
    expect(match("left arm lateral mean").doubts).toContain("region");
  });

  test("words that are not understood", () => {
    expect(match("left hand dorsal mean bandaged").doubts).toContain("region");
  });

  test("a number of minutes is no minimum", () => {
    expect(match("left hand dorsal 5-min mean")).toMatchObject({
      target: "hand-left-dorsal mean",
      doubts: ["region"],
    });
  });

  test("a statistic that a trace cannot have is left out", () => {
    expect(match("left hand dorsal median")).toMatchObject({ target: null, doubts: ["statistic"] });
  });

  test("confidence falls with every guess", () => {
    const sure = match("left hand dorsal mean").confidence;
    const noStatistic = match("left hand dorsal").confidence;
    const nothing = match("L hand").confidence;
    expect(sure).toBe(1);
    expect(noStatistic).toBeLessThan(sure);
    expect(nothing).toBeLessThan(noStatistic);
    expect(nothing).toBeGreaterThan(0);
  });
});

describe("other names match nothing", () => {
  test.each(["", "remark", "phase", "Rückenschmerz", "skin temperature", "ROI 3", "battery", "<b>hand</b>?"])(
    "%j",
    (name) => {
      if (name.includes("hand")) expect(match(name).doubts.length).toBeGreaterThan(0);
      else expect(match(name).target).toBeNull();
    },
  );
});

describe("units are found in names", () => {
  test.each([
    [["Hand L [°C]"], "°C"],
    [["Hand (L) [K]"], "K"],
    [["hand_l_degF"], "degF"],
    [["hand left", "mean", "°F"], "°F"],
    [["hand left mean"], null],
    [["hand left min"], null],
    [["hand left (mV)"], "mV"],
  ])("%j: %j", (parts, unit) => {
    expect(match(...parts).unit).toBe(unit);
  });
});
