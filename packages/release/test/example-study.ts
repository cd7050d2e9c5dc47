import { unzipSync } from "fflate";
import { assessDisclosure } from "../src/assess-disclosure";
import { defaultDisclosureRule } from "../src/disclosure-rule";
import { forbiddenStringsOf } from "../src/identity-scan";
import { seededRandom } from "../src/random-source";
import type { ReleaseFrame, ReleaseInput, TraceToRelease } from "../src/release-input";
import { writeRelease } from "../src/write-release";

/** An invented study of invented people; nothing in it was ever measured. */

export const people = [
  ["V-001", "Ingeborg Quist", "female", 23, 168.4, 61.2, "2003-02-11"],
  ["V-002", "Tarek Amsoum", "male", 27, 181.9, 78.3, "1999-07-30"],
  ["V-003", "Marisol Vey", "female", 21, 166.1, 63.8, "2005-01-05"],
  ["V-004", "Odd Hand", "male", 29, 183.2, 76.6, "1997-12-24"],
  ["V-005", "Li Wu", "female", 24, 169.7, 64.4, "2002-03-19"],
  ["V-006", "Bastien Corvaux", "male", 26, 184.5, 79.9, "2000-10-02"],
  ["V-007", "Yuki Tanemura", "female", 22, 165.3, 60.1, "2004-05-28"],
  ["V-008", "Pádraig Ó Cuinn", "male", 25, 180.6, 75.2, "2001-08-08"],
  ["V-009", "Zdenka Hrubá", "female", 58, 151.0, 96.7, "1968-04-14"],
] as const;

const conditions = [
  { name: "bare hands", description: "Hands uncovered, room at 22 °C" },
  { name: '=gloves, "thick"', description: "Insulated gloves from the start of the exercise" },
];

export const regionIds = ["forearm-left-anterior", "hand-right-palmar"] as const;

export function exampleFrame(): ReleaseFrame {
  return {
    study: {
      title: "Stepping with and without gloves",
      summary: "An invented study.\nIt shows the form of a release.",
    },
    release: {
      number: 3,
      createdOn: "2026-11-24",
      licence: {
        name: "CC-BY-4.0",
        title: "Creative Commons Attribution 4.0",
        path: "https://creativecommons.org/licenses/by/4.0/",
      },
    },
    protocol: {
      version: 2,
      phases: [
        { name: "sitting", kind: "rest", durationS: 30 },
        { name: "stepping", kind: "exercise", durationS: 60 },
        { name: "sitting again", kind: "recovery", durationS: 30 },
      ],
      conditions,
      regions: [
        { id: regionIds[0], site: "forearm", side: "left", aspect: "anterior", label: "Left forearm, front" },
        { id: regionIds[1], site: "hand", side: "right", aspect: "palmar", label: "Right hand, palm" },
      ],
    },
    volunteers: people.map(([, , sex, ageYears, heightCm, massKg], index) => ({
      key: `volunteer-${index}`,
      sex,
      ageYears,
      heightCm,
      massKg,
    })),
    trials: people.flatMap((_, volunteer) =>
      conditions.map((condition, which) => ({
        key: `trial-${volunteer}-${which}`,
        volunteerKey: `volunteer-${volunteer}`,
        conditionName: condition.name,
        occasion: 1,
        room: {
          airTemperatureC: 22 + volunteer / 10,
          meanRadiantTemperatureC: which === 0 ? 21.75 : null,
          relativeHumidityPct: 45,
          airSpeedMS: 0.1,
        },
        phases: [
          { name: "sitting", kind: "rest" as const, startS: 100, endS: 130 },
          { name: "stepping", kind: "exercise" as const, startS: 130, endS: 190 },
          { name: "sitting again", kind: "recovery" as const, startS: 190, endS: 220.5 },
        ],
        measures: [
          {
            name: "baseline",
            regionId: regionIds[0],
            value: 31.2 + volunteer / 7,
            unit: "°C",
            usesBodyMeasures: false,
          },
          { name: "lowest point", regionId: regionIds[0], value: null, unit: "°C", usesBodyMeasures: false },
          {
            name: "mean skin temperature, end",
            regionId: null,
            value: 32.5,
            unit: "°C",
            usesBodyMeasures: false,
          },
          { name: "heat loss", regionId: regionIds[1], value: 9.25, unit: "W", usesBodyMeasures: false },
          { name: "heat storage", regionId: null, value: 41.5, unit: "W/m²", usesBodyMeasures: true },
        ],
      })),
    ),
    rule: { ...defaultDisclosureRule, largestShareLeftOut: 0.2 },
    forbiddenStrings: people.flatMap(([code, name, , , , , birthDate], index) =>
      forbiddenStringsOf({
        code,
        name,
        contacts: [`person${index}@mail.example, +47 555 01 0${index}${index}`],
        birthDate,
      }),
    ),
  };
}

/** The traces of the example, computable from the trial's key, so that a test can say what the truth is. */
export function exampleTraces(trialKey: string): TraceToRelease[] {
  const shift = Number(trialKey.replace(/\D/g, "")) / 100;
  const count = 121;
  const regular = { kind: "regular", startS: 100, stepS: 1, count } as const;
  const slow = { kind: "irregular", timesS: Float64Array.of(100.25, 131.5, 199.125) } as const;
  const skin = Float32Array.from({ length: count }, (_, i) => (i === 7 ? Number.NaN : 31 + shift - i / 300));
  const spread = Float32Array.from({ length: count }, (_, i) => 0.4 + i / 1000);
  const [forearm, hand] = regionIds;
  return [
    {
      target: { kind: "channel", channel: "heart rate" },
      unit: "1/min",
      timeBase: slow,
      values: Float64Array.of(61, 120.1, 88),
    },
    {
      target: { kind: "region", regionId: hand, statistic: "mean" },
      unit: "°C",
      timeBase: regular,
      values: skin.map((v) => v + 1),
    },
    {
      target: { kind: "region", regionId: forearm, statistic: "mean" },
      unit: "°C",
      timeBase: regular,
      values: skin,
    },
    {
      target: { kind: "region", regionId: forearm, statistic: "standard deviation" },
      unit: "K",
      timeBase: regular,
      values: spread,
    },
    {
      target: { kind: "channel", channel: "power" },
      unit: "W",
      timeBase: slow,
      values: Float64Array.of(0, 150, 0),
    },
  ];
}

export const seed = (filling: number): Uint8Array => new Uint8Array(32).fill(filling);

export function exampleInput(frame: ReleaseFrame = exampleFrame(), filling = 1): ReleaseInput {
  return {
    ...frame,
    random: seededRandom(seed(filling)),
    async *traces(trialKey) {
      yield* exampleTraces(trialKey);
    },
  };
}

/** Assesses, writes and returns the whole ZIP. */
export async function zipOf(input: ReleaseInput): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  for await (const chunk of writeRelease(input, assessDisclosure(input))) chunks.push(chunk);
  return Buffer.concat(chunks);
}

/** The files of a ZIP as text, by path. */
export function filesOf(zip: Uint8Array): Map<string, string> {
  const decoder = new TextDecoder("utf-8", { fatal: true });
  return new Map(Object.entries(unzipSync(zip)).map(([path, bytes]) => [path, decoder.decode(bytes)]));
}
