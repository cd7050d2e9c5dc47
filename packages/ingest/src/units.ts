import type { Channel } from "./channels";
import type { TraceTarget } from "./read-result";

/**
 * From the number in the file to the canonical unit: (value x factor + offset) / divisor, all whole numbers, so that a
 * decimal such as 304.65 K becomes the double nearest to 31.5 °C.
 */
export interface UnitConversion {
  /** The unit that values come out in. */
  unit: string;
  factor: number;
  offset: number;
  divisor: number;
}

const degreesCelsius = "°C";
const perMinute = "/min";

/** Canonical unit of each channel. */
export const channelUnits: Readonly<Record<Channel, string>> = {
  "heart rate": perMinute,
  power: "W",
  "core temperature": degreesCelsius,
  "air temperature": degreesCelsius,
  "mean radiant temperature": degreesCelsius,
  "relative humidity": "%",
  "air speed": "m/s",
  "reference surface temperature": degreesCelsius,
  cadence: perMinute,
  speed: "m/s",
  "oxygen uptake": "L/min",
  "carbon dioxide output": "L/min",
  ventilation: "L/min",
  "respiratory rate": perMinute,
};

/** The unit that a trace of this target has. */
export function canonicalUnit(target: TraceTarget): string {
  return target.kind === "region" ? degreesCelsius : channelUnits[target.channel];
}

type Quantity =
  | "temperature"
  | "temperature difference"
  | "rate"
  | "power"
  | "humidity"
  | "speed"
  | "volume flow";

function quantityOf(target: TraceTarget): Quantity {
  if (target.kind === "region") {
    return target.statistic === "standard deviation" ? "temperature difference" : "temperature";
  }
  switch (channelUnits[target.channel]) {
    case degreesCelsius:
      return "temperature";
    case perMinute:
      return "rate";
    case "W":
      return "power";
    case "%":
      return "humidity";
    case "m/s":
      return "speed";
    default:
      return "volume flow";
  }
}

type Factors = readonly [factor: number, offset: number, divisor: number];

interface UnitEntry {
  /** How the interface writes it. */
  unit: string;
  /** Spellings after `plainUnit`. */
  spellings: readonly string[];
  factors: Factors;
}

/** One kelvin is one degree Celsius, 0 °C = 273.15 K; 1 °F = 5/9 K, 32 °F = 0 °C (SI Brochure; NIST SP 811, B.8). */
const temperatureScales: readonly {
  unit: string;
  spellings: readonly string[];
  value: Factors;
  difference: Factors;
}[] = [
  {
    unit: degreesCelsius,
    spellings: [
      "°c",
      "c",
      "degc",
      "degreec",
      "degreesc",
      "celsius",
      "°celsius",
      "degcelsius",
      "degreecelsius",
    ].concat(["degreescelsius", "gradc", "gradcelsius", "gradic", "gradosc", "degrec", "degresc", "gradenc"]),
    value: [1, 0, 1],
    difference: [1, 0, 1],
  },
  {
    unit: "°F",
    spellings: ["°f", "f", "degf", "degreef", "degreesf", "fahrenheit", "°fahrenheit", "degreesfahrenheit"],
    value: [5, -160, 9],
    difference: [5, 0, 9],
  },
  {
    unit: "K",
    spellings: ["k", "kelvin", "°k", "degk"],
    value: [100, -27315, 100],
    difference: [1, 0, 1],
  },
];

const entries: Readonly<
  Record<Exclude<Quantity, "temperature" | "temperature difference">, readonly UnitEntry[]>
> = {
  rate: [
    {
      unit: perMinute,
      spellings: [
        "/min",
        "1/min",
        "permin",
        "bpm",
        "beats/min",
        "beat/min",
        "min-1",
        "min^-1",
        "s/min",
        "schlage/min",
      ].concat(
        [
          "schlaege/min",
          "bat/min",
          "lat/min",
          "lpm",
          "ppm",
          "puls/min",
          "slagen/min",
          "battiti/min",
          "rpm",
          "r/min",
        ],
        ["u/min", "umin", "tr/min", "tours/min", "giri/min", "omw/min", "breaths/min", "atemzuge/min"],
      ),
      factors: [1, 0, 1],
    },
  ],
  power: [
    { unit: "W", spellings: ["w", "watt", "watts"], factors: [1, 0, 1] },
    { unit: "kW", spellings: ["kw", "kilowatt"], factors: [1000, 0, 1] },
  ],
  humidity: [
    {
      unit: "%",
      spellings: ["%", "%rh", "rh%", "%rf", "%hr", "%ur", "percent", "pct", "prozent"],
      factors: [1, 0, 1],
    },
  ],
  speed: [
    { unit: "m/s", spellings: ["m/s", "ms-1", "ms^-1", "mps"], factors: [1, 0, 1] },
    { unit: "cm/s", spellings: ["cm/s"], factors: [1, 0, 100] },
    { unit: "km/h", spellings: ["km/h", "kmh", "kph", "kmh-1"], factors: [5, 0, 18] },
  ],
  "volume flow": [
    { unit: "L/min", spellings: ["l/min", "lmin-1", "lpm", "litre/min", "liter/min"], factors: [1, 0, 1] },
    { unit: "mL/min", spellings: ["ml/min", "mlmin-1"], factors: [1, 0, 1000] },
  ],
};

/** A unit without what only spelling varies: case, spaces, dots, the several degree signs and superscripts. */
export function plainUnit(text: string): string {
  return text
    .replace(/[º˚]/g, "°")
    .normalize("NFKC")
    .normalize("NFD")
    .replace(/[\u0300-\u036f]/g, "")
    .toLowerCase()
    .replace(/[\u2212\u2013]/g, "-")
    .replace(/[·*\s._]/g, "");
}

function entriesFor(quantity: Quantity): readonly UnitEntry[] {
  switch (quantity) {
    case "temperature":
      return temperatureScales.map(({ unit, spellings, value }) => ({ unit, spellings, factors: value }));
    case "temperature difference":
      return temperatureScales.map(({ unit, spellings, difference }) => ({
        unit,
        spellings,
        factors: difference,
      }));
    default:
      return entries[quantity];
  }
}

/** How to convert from a unit as written to the target's canonical one; null when the unit is unknown for it. */
export function unitConversion(target: TraceTarget, unitText: string): UnitConversion | null {
  const plain = plainUnit(unitText);
  const found = entriesFor(quantityOf(target)).find((entry) => entry.spellings.includes(plain));
  if (found === undefined) return null;
  const [factor, offset, divisor] = found.factors;
  return { unit: canonicalUnit(target), factor, offset, divisor };
}

/** The units that a target's column may have, as the interface writes them. */
export function unitsFor(target: TraceTarget): string[] {
  return entriesFor(quantityOf(target)).map((entry) => entry.unit);
}

/** The interface's way of writing a unit, if any target could have it; null otherwise. */
export function knownUnit(text: string): string | null {
  const plain = plainUnit(text);
  if (plain === "") return null;
  for (const entry of [...entriesFor("temperature"), ...Object.values(entries).flat()]) {
    if (entry.spellings.includes(plain)) return entry.unit;
  }
  return null;
}
