import { plainText } from "../match/normalise-name";
import { DateTimeReader } from "../parse/date-time";
import { asciiBytes } from "./cell-shape";

/** What the lines above the header say about the table. */
export interface PreambleFacts {
  frameRate: number | null;
  zone: string | null;
  /** The day of the recording, when it is written in an unmistakable way. */
  date: string | null;
  /** When the recording started, as far as it is said: the day, and the time of day as hh:mm:ss(.fff). */
  startDate: string | null;
  startClock: string | null;
  /** From which year a spreadsheet's days are counted. */
  serialEpoch: 1900 | 1904 | null;
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
    startDate: null,
    startClock: null,
    serialEpoch: null,
    temperatureUnit: null,
    contactSensors: false,
  };
  for (const line of lines) {
    facts.frameRate ??= frameRateIn(line);
    facts.zone ??= zoneIn(line);
    facts.date ??= dateIn(line);
    const start = startIn(line);
    if (start !== null && facts.startClock === null) {
      facts.startClock = start.clock;
      facts.startDate = start.date;
    }
    facts.serialEpoch ??= serialEpochIn(line);
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
  // "Frame rate (Hz): 7.5", "Bildrate [1/s];7,5": the unit may stand between the name and the number.
  const unit = "(?:\\s*[(\\[](?:hz|fps|1/s|/s|s-1|s\u207b\u00b9|frames/s|bilder/s|images/s)[)\\]])?";
  const match =
    new RegExp(
      `(?:frame ?rate|frames per second|fps|bildrate|bildfrequenz|bilder pro sekunde|images? par seconde|cadence d.images|fotogramas por segundo|beelden per seconde|fotogrammi al secondo)${unit}\\W*${rate}`,
      "i",
    ).exec(line) ??
    new RegExp(`${rate}\\s*(?:fps|frames?/s|bilder/s|images?/s|frames per second)`, "i").exec(line) ??
    new RegExp(
      `(?:sampling|sample|abtast|acquisition|recording)\\w*\\s*(?:rate|frequency|frequenz)?(?:${unit}\\W*${rate}\\s*hz|\\s*[(\\[]hz[)\\]]\\W*${rate})`,
      "i",
    ).exec(line);
  const written = match?.[1] ?? match?.[2];
  if (written === undefined) return null;
  const value = Number(written.replace(",", "."));
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
  return unmistakableDate(match[1].replace(/^[\s:;,|\t"]+|[\s:;,|\t"]+$/g, "").split(/[;|\t]/)[0] ?? "");
}

/** A date that can be read in one way only; null for any other text. */
function unmistakableDate(text: string): string | null {
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

const startWords =
  "start(?:ed)?(?: time| at)?|begin(?:ning|n)?|began(?: at)?|startzeit|startzeitpunkt|aufnahmebeginn|messbeginn|(?:heure de )?debut(?: de l.enregistrement)?|hora de (?:inicio|comienzo)|inicio|ora (?:di )?inizio|inizio|starttijd|begintijd|aanvang|recording (?:start(?:ed)?|began)(?: at)?|recorded at|aufgenommen um";

/** "Start: 10:15:30", "Beginn der Aufnahme;03.02.2026 10:15", "Hora de inicio 9:05 am". */
function startIn(line: string): { date: string | null; clock: string } | null {
  const match = new RegExp(
    `(?:^|[^\\p{L}])(?:${startWords})(?![\\p{L}])(?:[^\\d]{0,30}?[:;=|\\t])?\\s*(.+)$`,
    "iu",
  ).exec(plainText(line));
  if (match?.[1] === undefined) return null;
  const clock = /(\d{1,2})[:h](\d{2})(?::(\d{2})(?:[.,](\d{1,6}))?)?\s*([ap])?\.?m?\b/.exec(match[1]);
  if (clock === null) return null;
  const [written, hourText = "", minute = "", second = "00", fraction, half] = clock;
  const hour = half === undefined ? Number(hourText) : (Number(hourText) % 12) + (half === "p" ? 12 : 0);
  if (hour > 23 || Number(minute) > 59 || Number(second) > 59) return null;
  const before = match[1].slice(0, match[1].indexOf(written)).replace(/[\sT,;]+$/i, "");
  return {
    date: before === "" ? null : unmistakableDate(before),
    clock: `${String(hour).padStart(2, "0")}:${minute}:${second}${fraction === undefined ? "" : `.${fraction}`}`,
  };
}

function serialEpochIn(line: string): 1900 | 1904 | null {
  const match =
    /\b(190[04])\b.{0,20}(?:date system|datumswert|calend|kalender|epoch|serial)|(?:date system|datumswerte|calend\w*|kalender|epoch|serial\w*)\D{0,20}\b(190[04])\b/i.exec(
      line,
    );
  const year = match?.[1] ?? match?.[2];
  return year === undefined ? null : year === "1904" ? 1904 : 1900;
}

function temperatureUnitIn(line: string): string | null {
  const match =
    /(?:unit|units|einheit|einheiten|unite|unité|unidad|eenheid|unita|unità|temperatures? in|temperaturen? in)\W*(?:temperature\W*)?(°?\s?[CFK]|celsius|fahrenheit|kelvin)\b/iu.exec(
      line,
    );
  return match?.[1] ?? null;
}
