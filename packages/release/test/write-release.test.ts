import { createHash } from "node:crypto";
import { inflateRawSync } from "node:zlib";
import { Ajv } from "ajv";
import addFormats from "ajv-formats";
import { beforeAll, describe, expect, it } from "vitest";
import { assessDisclosure } from "../src/assess-disclosure";
import type { ReleaseInput, TraceToRelease } from "../src/release-input";
import { timeZeroOf } from "../src/rows";
import { writeRelease } from "../src/write-release";
import { exampleFrame, exampleInput, exampleTraces, filesOf, people, zipOf } from "./example-study";
import constraints from "./fixtures/data-package-2.0-constraints.json";
import { type Descriptor, descriptorSchema, faultsOf, type Row, rowsOf } from "./package-reader";

let zip: Uint8Array;
let files: Map<string, string>;
let descriptor: Descriptor;

beforeAll(async () => {
  zip = await zipOf(exampleInput());
  files = filesOf(zip);
  descriptor = descriptorSchema.parse(JSON.parse(fileAt("datapackage.json")));
});

function fileAt(path: string): string {
  const text = files.get(path);
  if (text === undefined) throw new Error(`The package has no file ${path}.`);
  return text;
}

const table = (path: string): Row[] => rowsOf(fileAt(path));

/** The internal key of each released trial, found by what only that trial has: its room. */
function keyOfTrial(row: Row): string {
  const volunteer = Math.round((Number(row.air_temperature_c) - 22) * 10);
  return `trial-${volunteer}-${row.condition === "bare hands" ? 0 : 1}`;
}

describe("The package", () => {
  it("fulfils the constraints of the Data Package profile, version 2.0", () => {
    const ajv = new Ajv({ allErrors: true, strict: false });
    addFormats.default(ajv);
    const validate = ajv.compile(constraints);
    expect(validate(JSON.parse(fileAt("datapackage.json"))), JSON.stringify(validate.errors)).toBe(true);
    expect(validate({ resources: [{ name: "x", path: "../x.csv" }] })).toBe(false);
  });

  it("has only rows that are valid by the table schemas in its own descriptor", () => {
    expect(faultsOf(descriptor, files)).toEqual([]);
  });

  it("names every file with its true length and SHA-256, but the descriptor itself", () => {
    const described = descriptor.resources.map(({ path }) => path);
    expect([...described, "datapackage.json"].sort()).toEqual([...files.keys()].sort());
    for (const { path, bytes, hash } of descriptor.resources) {
      const content = Buffer.from(fileAt(path), "utf8");
      expect(content.length).toBe(bytes);
      expect(`sha256:${createHash("sha256").update(content).digest("hex")}`).toBe(hash);
    }
  });

  it("describes every column", () => {
    for (const { schema } of descriptor.resources) {
      for (const { title, description } of schema?.fields ?? [])
        expect(`${title}${description}`).not.toBe("");
    }
    expect(fileAt("README.md")).toContain("```r\n");
  });
});

describe("The values", () => {
  it("of the traces are those of the study, on times from the start of the first exercise phase", () => {
    const trials = new Map(table("trials.csv").map((row) => [row.trial, keyOfTrial(row)]));
    expect(trials.size).toBe(assessDisclosure(exampleFrame()).trials.released);
    let compared = 0;
    for (const row of table("traces.csv")) {
      const key = trials.get(row.trial) ?? "";
      const truth = exampleTraces(key).find((trace) => isTraceOf(row, trace));
      if (truth === undefined) throw new Error("A trace of the package is none of the study's.");
      const samples = table(row.file ?? "");
      const stored = truth.values;
      const text = samples.map((sample) => sample[row.column ?? ""] ?? "");
      expect(text.length).toBe(stored.length);
      for (const [index, cell] of text.entries()) {
        const value = stored[index] ?? Number.NaN;
        const read = cell === "" ? Number.NaN : Number(cell);
        expect(stored instanceof Float32Array ? Math.fround(read) : read).toBe(value);
        compared++;
      }
      expect(Number(row.missing)).toBe([...stored].filter(Number.isNaN).length);
      const times = samples.map((sample) => Number(sample.time_s));
      const zero = timeZeroOf(exampleFrame().trials.find((trial) => trial.key === key) ?? missing());
      expect(zero).toBe(130);
      const expected =
        truth.timeBase.kind === "regular"
          ? stored.map((_, index) => index - 30)
          : truth.timeBase.timesS.map((time) => time - 130);
      expect(times).toEqual([...expected]);
    }
    expect(compared).toBe(trials.size * (3 * 121 + 3));
  });

  it("of rooms, phases and measures are those of the study", () => {
    const frame = exampleFrame();
    for (const row of table("trials.csv")) {
      const trial = frame.trials.find(({ key }) => key === keyOfTrial(row)) ?? missing();
      expect(Number(row.occasion)).toBe(trial.occasion);
      expect(Number(row.relative_humidity_pct)).toBe(trial.room.relativeHumidityPct);
      expect(row.mean_radiant_temperature_c).toBe(trial.room.meanRadiantTemperatureC === null ? "" : "21.75");
      const phases = table("phases.csv").filter((phase) => phase.trial === row.trial);
      expect(phases.map(({ phase, kind, start_s, end_s }) => [phase, kind, start_s, end_s])).toEqual([
        ["sitting", "rest", "-30", "0"],
        ["stepping", "exercise", "0", "60"],
        ["sitting again", "recovery", "60", "90.5"],
      ]);
      const measures = table("measures.csv").filter((measure) => measure.trial === row.trial);
      expect(measures.map(({ measure, region, value, unit }) => [measure, region, value, unit])).toEqual(
        trial.measures
          .slice(0, 3)
          .map((m) => [m.name, m.regionId ?? "", m.value === null ? "" : String(m.value), m.unit]),
      );
    }
  });

  it("of the body stand in bands that hold the true ones, derived values included", () => {
    expect(table("volunteers.csv").filter((row) => row.surface_area_low_m2 !== "").length).toBe(8);
    const trials = table("trials.csv");
    for (const row of table("volunteers.csv")) {
      const trial = trials.find(({ volunteer }) => volunteer === row.volunteer);
      const index = Math.round((Number(trial?.air_temperature_c) - 22) * 10);
      const [, , sex, age, height, mass] = people[index] ?? missing();
      expect(["", sex]).toContain(row.sex);
      expectInside(row, "age", "years", age);
      expectInside(row, "height", "cm", height);
      expectInside(row, "mass", "kg", mass);
      // Du Bois and Du Bois 1916; Quetelet.
      expectInside(row, "surface_area", "m2", 0.007184 * height ** 0.725 * mass ** 0.425);
      expectInside(row, "mass_index", "kg_m2", mass / (height / 100) ** 2);
    }
  });
});

describe("What is withheld", () => {
  it("is every number from which body size could be computed back, and the package says so", () => {
    expect(table("measures.csv").map(({ measure }) => measure)).not.toContain("heat loss");
    expect(table("measures.csv").map(({ measure }) => measure)).not.toContain("heat storage");
    expect(table("traces.csv").map(({ channel }) => channel)).not.toContain("power");
    expect(table("traces.csv").map(({ channel }) => channel)).toContain("heart rate");
    expect(fileAt("README.md")).toContain("16 × trace power (W)");
    expect(JSON.parse(fileAt("disclosure-report.json"))).toHaveProperty("withheld.2.name", "power");
  });
});

describe("The bytes", () => {
  it("are the same for the same input and seed, in whatever order volunteers and trials come", async () => {
    const again = await zipOf(exampleInput());
    expect(Buffer.compare(zip, again)).toBe(0);
    const frame = exampleFrame();
    const turned = {
      ...frame,
      volunteers: [...frame.volunteers].reverse(),
      trials: [...frame.trials].reverse(),
    };
    const other = await zipOf(exampleInput(turned));
    expect(Buffer.compare(zip, other)).toBe(0);
  });

  it("have other pseudonyms, and hence another order, with another seed", async () => {
    const other = filesOf(await zipOf(exampleInput(exampleFrame(), 2)));
    const names = (text: string): string[] => rowsOf(text).map((row) => row.volunteer ?? "");
    const [here, there] = [names(fileAt("volunteers.csv")), names(other.get("volunteers.csv") ?? "")];
    expect(here.filter((name) => there.includes(name))).toEqual([]);
    const content = (text: string): string =>
      rowsOf(text)
        .map((row) => row.age_low_years)
        .join();
    expect(content(fileAt("volunteers.csv"))).not.toBe(content(other.get("volunteers.csv") ?? ""));
  });

  it("hold no code, name, contact, date, clock time or internal key, packed or unpacked", () => {
    const packed = Buffer.from(zip).toString("latin1");
    const unpacked = [...files.entries()].flat().join("\n");
    for (const [index, [code, name, , , , , birthDate]] of people.entries()) {
      const parts = name.split(" ").filter((part) => part !== "Hand" && part.length > 2);
      for (const secret of [
        code,
        name,
        birthDate,
        `mail.example`,
        `555 01 0${index}`,
        `volunteer-${index}`,
        ...parts,
      ]) {
        expect(packed).not.toContain(secret);
        expect(unpacked).not.toMatch(
          new RegExp(`(?<![\\p{L}\\p{N}])${escaped(secret)}(?![\\p{L}\\p{N}])`, "iu"),
        );
      }
    }
    expect(unpacked).not.toMatch(/trial-\d/);
    expect(unpacked).not.toMatch(/\d{4}-\d{2}-\d{2}/);
    expect(unpacked).not.toMatch(/\d{1,2}:\d{2}:\d{2}/);
    expect(unpacked.match(/2026/g)).toHaveLength(1);
  });

  it("carry one fixed date for every file, and inflate with the machine's own library", () => {
    const bytes = Buffer.from(zip);
    let at = bytes.indexOf("PK\u0001\u0002", "latin1");
    let entries = 0;
    while (bytes.readUInt32LE(at) === 0x02014b50) {
      expect(bytes.readUInt16LE(at + 14)).toBe((0 << 9) | (1 << 5) | 1);
      const [packedSize, size] = [bytes.readUInt32LE(at + 20), bytes.readUInt32LE(at + 24)];
      const [name, extra, comment] = [28, 30, 32].map((offset) => bytes.readUInt16LE(at + offset));
      const header = bytes.readUInt32LE(at + 42);
      const start = header + 30 + bytes.readUInt16LE(header + 26) + bytes.readUInt16LE(header + 28);
      const path = bytes.toString("utf8", at + 46, at + 46 + (name ?? 0));
      const content = inflateRawSync(bytes.subarray(start, start + packedSize));
      expect(content.length).toBe(size);
      expect(content.toString("utf8")).toBe(fileAt(path));
      at += 46 + (name ?? 0) + (extra ?? 0) + (comment ?? 0);
      entries++;
    }
    expect(entries).toBe(files.size);
  });
});

describe("Text", () => {
  it("that a spreadsheet would compute is made harmless, the same in every table", () => {
    const names = table("conditions.csv").map(({ condition }) => condition);
    expect(names).toEqual(["bare hands", `'=gloves, "thick"`]);
    expect(fileAt("conditions.csv")).toContain(`"'=gloves, ""thick"""`);
    expect(new Set(table("trials.csv").map(({ condition }) => condition))).toEqual(new Set(names));
    expect(fileAt("README.md")).toContain("apostrophe");
  });
});

describe("Writing stops", () => {
  const read = async (input: ReleaseInput): Promise<void> => {
    for await (const chunk of writeRelease(input, assessDisclosure(input)))
      expect(chunk.length).toBeGreaterThan(0);
  };

  it("before the first byte, in words, when the report refuses", async () => {
    const frame = exampleFrame();
    const input = exampleInput({ ...frame, study: { ...frame.study, title: "V-004 and the others" } });
    const stream = writeRelease(input, assessDisclosure(input));
    await expect(stream.next()).rejects.toThrow("study, title: contains a volunteer's code");
  });

  it("not at a count that is somebody's code: codes of a few digits are looked for in free text only", async () => {
    const frame = exampleFrame();
    const input = exampleInput({ ...frame, forbiddenStrings: [...frame.forbiddenStrings, "16", "8"] });
    await read(input);
    const typed = { ...frame, study: { ...frame.study, summary: "Without 16." }, forbiddenStrings: ["16"] };
    expect(assessDisclosure(typed).refusals.map(({ place }) => place)).toEqual(["study, summary"]);
  });

  it("when the report belongs to an earlier state of the study", async () => {
    const frame = exampleFrame();
    const report = assessDisclosure({ ...frame, trials: frame.trials.slice(1) });
    await expect(writeRelease(exampleInput(frame), report).next()).rejects.toThrow("report");
  });

  it("when a measure's or a channel's name carries an identity, naming the file and not what was found", async () => {
    const frame = exampleFrame();
    const [first, ...others] = frame.trials;
    if (first === undefined) throw new Error("The example has trials.");
    const [code, surname] = ["note on V-004", "baseline of Corvaux"].map((name) => {
      const measures = [{ name, regionId: null, value: 1, unit: "°C", usesBodyMeasures: false }];
      return exampleInput({ ...frame, trials: [{ ...first, measures }, ...others] });
    });
    if (code === undefined || surname === undefined) throw new Error("Two inputs were made.");
    await expect(read(surname)).rejects.toThrow("measures.csv contains");
    const spoilt = code;
    await expect(read(spoilt)).rejects.toThrow(
      expect.objectContaining({ places: [expect.objectContaining({ place: "measures.csv" })] }),
    );
    await expect(read(spoilt)).rejects.not.toThrow("V-004");
    const channel: ReleaseInput = {
      ...exampleInput(),
      async *traces(key) {
        for (const trace of exampleTraces(key)) {
          yield { ...trace, target: { kind: "channel", channel: "chest strap of Corvaux" } };
        }
      },
    };
    await expect(read(channel)).rejects.toThrow(/^traces\/T-.{4}-1\.csv contains/);
  });

  it.each<[string, (trace: TraceToRelease) => TraceToRelease]>([
    ["values", (trace) => ({ ...trace, values: trace.values.slice(1) })],
    ["infinite", (trace) => ({ ...trace, values: trace.values.map(() => Number.POSITIVE_INFINITY) })],
    ["region", (trace) => ({ ...trace, target: { kind: "region", regionId: "tail", statistic: "mean" } })],
  ])("when a trace contradicts itself: %s", async (words, spoil) => {
    const input: ReleaseInput = {
      ...exampleInput(),
      async *traces(key) {
        for (const trace of exampleTraces(key)) yield spoil(trace);
      },
    };
    await expect(read(input)).rejects.toThrow(words);
  });
});

function isTraceOf(row: Row, { target }: TraceToRelease): boolean {
  return target.kind === "region"
    ? row.region === target.regionId && row.statistic === target.statistic
    : row.channel === target.channel;
}

function expectInside(row: Row, name: string, unit: string, value: number): void {
  const [low, high] = [row[`${name}_low_${unit}`] ?? "", row[`${name}_high_${unit}`] ?? ""];
  if (low !== "") expect(value).toBeGreaterThanOrEqual(Number(low));
  if (high !== "") expect(value).toBeLessThan(Number(high));
}

function escaped(text: string): string {
  return text.replace(/[.+*?^$()[\]{}|\\]/g, "\\$&");
}

function missing(): never {
  throw new Error("Not in the example.");
}
