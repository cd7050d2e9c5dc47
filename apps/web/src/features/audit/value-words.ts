import { isRegionId, regionById } from "@acral/analysis/skin";

/** The names and values of audit entries in words: entries keep them as the code has them. */

const fieldNames: ReadonlyMap<string, string> = new Map([
  ["n", "volunteers counted"],
  ["sha256", "SHA-256 of the bytes"],
  ["textSha256", "SHA-256 of the text"],
  ["textLength", "length of the text"],
  ["textLines", "lines of the text"],
  ["inputHash", "hash of what it rests on"],
  ["sizeBytes", "size, bytes"],
  ["conditionKey", "condition"],
  ["outcome.regionId", "region of the outcome"],
  ["outcome.measure", "measure of the outcome"],
  ["inForce", "in force"],
]);

const units: Readonly<Record<string, string>> = {
  C: "°C",
  S: "s",
  MS: "m/s",
  Kg: "kg",
  Cm: "cm",
  Mm: "mm",
  Pct: "%",
  W: "W",
  M: "m",
};

/** "roomLimits.airTemperatureC.max" → "room limits, air temperature, °C, max". */
export function fieldName(field: string): string {
  return fieldNames.get(field) ?? field.split(".").map(partName).join(", ");
}

function partName(part: string): string {
  const [, stem = part, unit] = /^(.*[a-z0-9])(MS|Kg|Cm|Mm|Pct|[CSWM])$/.exec(part) ?? [];
  const words = stem.replace(
    /([a-z0-9])([A-Z])/g,
    (_, before: string, letter: string) => `${before} ${letter.toLowerCase()}`,
  );
  return unit === undefined ? words : `${words}, ${units[unit] ?? unit}`;
}

const moment = /^\d{4}-\d{2}-\d{2}T[\d:.]+Z$/;
const hash = /^[0-9a-f]{64}$/;
const keyedHash = /^(\d+):([0-9a-f]{64})$/;
/** How much of a hash is shown: enough to compare by eye; the export has all of it. */
const shown = 12;

/** Moments stand in UTC, as the trail keeps them: it is read by people in more than one place. */
export function utcMoment(iso: string): string {
  return `${iso.slice(0, 10)} ${iso.slice(11, 19)}`;
}

export function valueText(value: unknown): string {
  if (Array.isArray(value)) return value.length === 0 ? "none" : value.map(valueText).join("; ");
  if (value === null || value === undefined || value === "") return "none";
  if (value === true) return "yes";
  if (value === false) return "no";
  if (typeof value === "object") return JSON.stringify(value);
  if (typeof value !== "string") return String(value);
  if (moment.test(value)) return `${utcMoment(value)} UTC`;
  if (hash.test(value)) return `${value.slice(0, shown)}…`;
  const keyed = keyedHash.exec(value);
  if (keyed !== null) return `keyed hash ${keyed[2]?.slice(0, shown)}…`;
  return plainText(value);
}

/** A region by its label, a key of the code without its hyphens and underscores; what people wrote stays as it is. */
function plainText(value: string): string {
  const [first = "", ...rest] = value.split(" ");
  if (isRegionId(first)) return [regionById(first).label, ...rest].join(" ");
  return /^[a-z]+([-_][a-z]+)+$/.test(value) ? value.replaceAll(/[-_]/g, " ") : value;
}
