import { DateTimeReader } from "../parse/date-time";
import { asciiBytes } from "./cell-shape";

/** What the lines above the header say about the table. */
export interface PreambleFacts {
  frameRate: number | null;
  zone: string | null;
  /** The day of the recording, when it is written in an unmistakable way. */
  date: string | null;
  /** The unit of all temperatures, as written. */
  temperatureUnit: string | null;
  /** Whether the values come from single contact sensors. */
  contactSensors: boolean;
}

export function preambleFacts(lines: readonly string[]): PreambleFacts {
  const facts: PreambleFacts = {
    frameRate: null,
    zone: null,
    date: null,
    temperatureUnit: null,
    contactSensors: false,
  };
  for (const line of lines) {
    facts.frameRate ??= frameRateIn(line);
    facts.zone ??= zoneIn(line);
    facts.date ??= dateIn(line);
    facts.temperatureUnit ??= temperatureUnitIn(line);
    if (
      /thermistor|thermocouple|thermoelement|contact sensor|kontaktsensor|termopar|termocoppia|thermokoppel|sonde de contact/i.test(
        line,
      )
    ) {
      facts.contactSensors = true;
    }
  }
  return facts;
}

function frameRateIn(line: string): number | null {
  const rate = "(\\d+(?:[.,]\\d+)?)";
  const match =
    new RegExp(
      `(?:frame ?rate|frames per second|fps|bildrate|bildfrequenz|bilder pro sekunde|images? par seconde|cadence d.images|fotogramas por segundo|beelden per seconde|fotogrammi al secondo)\\W*${rate}`,
      "i",
    ).exec(line) ??
    new RegExp(`${rate}\\s*(?:fps|frames?/s|bilder/s|images?/s|frames per second)`, "i").exec(line) ??
    new RegExp(
      `(?:sampling|sample|abtast|acquisition|recording)\\w*\\s*(?:rate|frequency|frequenz)?\\W*${rate}\\s*hz`,
      "i",
    ).exec(line);
  if (match?.[1] === undefined) return null;
  const value = Number(match[1].replace(",", "."));
  return value > 0 && value <= 10_000 ? value : null;
}

function zoneIn(line: string): string | null {
  const match = /(?:utc|gmt)\s*([+\-\u2212])\s*(\d{1,2})(?::?(\d{2}))?/i.exec(line);
  if (match !== null) {
    const [, sign = "+", hours = "0", minutes = "00"] = match;
    if (Number(hours) > 14) return null;
    return `${sign === "+" ? "+" : "-"}${hours.padStart(2, "0")}:${minutes}`;
  }
  return /(?:time ?zone|zeitzone|fuseau|zona horaria|tijdzone|fuso)\W*(?:utc|gmt|z)\b/i.test(line)
    ? "Z"
    : null;
}

function dateIn(line: string): string | null {
  const match = /(?:date|datum|fecha|data|jour|day|recorded|aufgenommen)\W*(.+)$/i.exec(line);
  if (match?.[1] === undefined) return null;
  const text = match[1].replace(/^[\s:;,|\t"]+|[\s:;,|\t"]+$/g, "").split(/[;|\t]/)[0] ?? "";
  const dayFirst = /^(\d{1,2})([./-])(\d{1,2})[./-]\d{4}/.exec(text);
  const unmistakable =
    /^\d{4}[./-]/.test(text) ||
    /\p{L}{3}/u.test(text) ||
    (dayFirst !== null && (dayFirst[2] === "." || Number(dayFirst[1]) > 12));
  if (!unmistakable) return null;
  const reader = new DateTimeReader();
  const bytes = asciiBytes(text);
  if (!reader.readDate(bytes, 0, bytes.length, dayFirst === null ? "year-month-day" : "day-month-year"))
    return null;
  return new Date(reader.day * 86_400_000).toISOString().slice(0, 10);
}

function temperatureUnitIn(line: string): string | null {
  const match =
    /(?:unit|units|einheit|einheiten|unite|unité|unidad|eenheid|unita|unità|temperatures? in|temperaturen? in)\W*(?:temperature\W*)?(°?\s?[CFK]|celsius|fahrenheit|kelvin)\b/iu.exec(
      line,
    );
  return match?.[1] ?? null;
}
