import { numbers, texts, type WrittenCell, type WrittenWorkbook } from "./write-workbook";

/**
 * The workbooks of the corpus and of the journeys, cell by cell; their truth was worked out by hand from what stands here.
 * `npx tsx packages/ingest/test/workbooks/write-files.ts` writes the files anew. People, places and numbers are invented.
 */

const dateTime = "dd\\.mm\\.yyyy hh:mm:ss.000";
const stamp = (number: string): WrittenCell => ({ number, format: dateTime });

/** By the name of the corpus file. */
export const corpusWorkbooks: Readonly<Record<string, WrittenWorkbook>> = {
  "workbook-plain.xlsx": {
    sheets: [
      {
        name: "Recording",
        rows: [
          texts("time (s)", "left hand dorsal mean (°C)", "left hand dorsal max (°C)"),
          numbers("0", "31.5", "33.25"),
          numbers("0.5", "31.399999999999999", "33"),
          numbers("1", "3.13E1", "32.75"),
          [{ number: "1.5" }, null, { number: "32.5" }],
          numbers("2", "31.1", "32.25"),
        ],
      },
    ],
  },
  // 46056 is 2026-02-03 counted from 1900; a minute is 1/1440 of a day.
  "workbook-dates.xlsx": {
    sheets: [
      { name: "Notes", rows: [texts("Operator", "AB"), texts("Camera", "left wall")] },
      {
        name: "Forearm",
        rows: [
          texts("Time", "left forearm anterior mean (°C)"),
          [stamp("46056.395833333336"), { number: "32.5" }],
          [stamp("46056.396527777775"), { number: "32.25" }],
          [stamp("46056.397222222222"), { number: "32" }],
          [stamp("46056.397916666669"), { number: "31.75" }],
        ],
      },
    ],
  },
  // 0.99998842592592593 of a day is 23:59:59, 1.1574074074074073E-5 is one second.
  "workbook-summary-first.xlsx": {
    sheets: [
      {
        name: "Summary",
        rows: [
          texts("Recording", "cold air 3"),
          texts("Region", "Mean", "Max", "Min"),
          [{ shared: "Hand L" }, ...numbers("30.25", "31", "29")],
          [{ shared: "Hand R" }, ...numbers("30.5", "31.25", "29.25")],
          [{ shared: "Foot L" }, ...numbers("28", "29", "27")],
          [{ shared: "Foot R" }, ...numbers("28.25", "29.25", "27.25")],
        ],
      },
      {
        name: "Series 1",
        merged: ["B2:C2", "D2:E2"],
        rows: [
          texts("Room", "north"),
          [null, { shared: "Hand L dorsal" }, null, { shared: "Hand R dorsal" }, null],
          texts("Time of day", "Mean [°C]", "Max [°C]", "Mean [°C]", "Max [°C]"),
          [
            { number: "0.99998842592592593", format: "h:mm:ss AM/PM" },
            ...numbers("30.5", "31", "30.75", "31.5"),
          ],
          [{ number: "0", format: "h:mm:ss AM/PM" }, ...numbers("30.25", "30.75", "30.5", "31.25")],
          [
            { number: "1.1574074074074073E-5", format: "h:mm:ss AM/PM" },
            ...numbers("30", "30.5", "30.25", "31"),
          ],
        ],
      },
      { name: "Chart data", hidden: true, rows: [texts("x", "y"), numbers("1", "2"), numbers("2", "3")] },
    ],
  },
  // 44594 is 2026-02-03 counted from 1904; 0.99998842592592593 of a day is 23:59:59.
  "workbook-1904-date-and-time.xlsx": {
    epoch: 1904,
    sheets: [
      {
        name: "Rohdaten",
        rows: [
          texts("Datum", "Uhrzeit", "Stirn Mittelwert (°C)"),
          [
            { number: "44594", format: "dd/mm/yyyy" },
            { number: "0.99998842592592593", format: "hh:mm:ss" },
            { number: "34.5" },
          ],
          [
            { number: "44595", format: "dd/mm/yyyy" },
            { number: "0", format: "hh:mm:ss" },
            { number: "34.4" },
          ],
          [
            { number: "44595", format: "dd/mm/yyyy" },
            { number: "1.1574074074074073E-5", format: "hh:mm:ss" },
            { number: "34.3" },
          ],
        ],
      },
    ],
  },
  "workbook-several-sheets.xlsx": {
    sheets: [
      {
        name: "left",
        rows: [texts("time (s)", "left hand dorsal mean (°C)"), numbers("0", "31.5"), numbers("10", "31.25")],
      },
      {
        name: "right",
        rows: [
          texts("time (s)", "right hand dorsal mean (°C)"),
          numbers("0", "30.5"),
          numbers("10", "30.25"),
          numbers("20", "30"),
          numbers("30", "29.75"),
        ],
      },
    ],
  },
  "workbook-formulas-and-merged.xlsx": {
    sheets: [
      {
        name: "Trial 7",
        rows: [
          [{ shared: "Start time: 10:15:30" }],
          null,
          [null, { shared: "left hand dorsal" }, null, { shared: "left foot dorsal" }],
          texts("time (s)", "mean (°C)", "max (°C)", "mean (°C)"),
          numbers("0", "31.5", "33.5", "29.5"),
          [
            { number: "5" },
            { formula: "AVERAGE(F6:F9)", value: "31.4" },
            { number: "33.4" },
            { error: "#N/A" },
          ],
          [
            { number: "10" },
            { formula: "AVERAGE(F7:F9)", value: null },
            { number: "33.3" },
            { boolean: false },
          ],
          numbers("15", "31.2", "33.2", "29.2"),
          [{ shared: "Mean" }, { formula: "AVERAGE(B5:B8)", value: "31.366666666666667" }],
        ],
        merged: ["B3:C3", "D7:D7"],
        hiddenRows: [6],
      },
    ],
  },
  "workbook-numbers-as-text.xlsx": {
    sheets: [
      {
        name: "Tabelle1",
        rows: [
          texts("Zeit (s)", "Wade links hinten Mittel (°C)", "Leistung (W)"),
          [{ number: "0" }, { shared: "30,5" }, { number: "100" }],
          [{ number: "0.5" }, { shared: "30,25" }, { number: "100.5" }],
          [{ number: "1" }, { shared: "30,75" }, { number: "101" }],
        ],
      },
    ],
  },
  "workbook-elapsed.xlsx": {
    prefix: "x",
    sheets: [
      {
        name: "Log",
        bare: true,
        rows: [
          [{ inline: "elapsed" }, { inline: "Rückseite Oberarm rechts, Mittel [°C]" }],
          [{ number: "0", format: "[h]:mm:ss" }, { number: "32.25" }],
          [{ number: "0.5", format: "[h]:mm:ss" }, { number: "32" }],
          [{ number: "1.0416666666666667", format: "[h]:mm:ss" }, { number: "31.5" }],
        ],
      },
    ],
  },
  "workbook-cells-of-dates.xlsx": {
    sheets: [
      {
        name: "UTC",
        rows: [
          texts("timestamp", "right calf posterior mean (°F)"),
          [{ iso: "2026-02-03T08:30:00.000Z" }, { number: "89.6" }],
          [{ iso: "2026-02-03T08:30:00.500Z" }, { number: "89.599999999999994" }],
          [{ iso: "2026-02-03T08:30:01.000Z" }, { number: "87.799999999999997" }],
        ],
      },
    ],
  },
};

/** Piecewise linear, like all files of the journeys: the values of the first volunteer's bare hands every 60 s. */
const forearm = ["32.2", "32.2", "32.2", "31.6", "31", "31", "33.2", "33.2", "33.2", "33.2", "33.2"];
const hand = ["31", "31", "31", "29.95", "28.9", "28.9", "33", "33", "33", "33", "33"];
/** 46091.395833333336 is 2026-03-10 09:30; each is a minute later, rounded as a double is written with seventeen digits. */
const minutes = [
  "46091.395833333336",
  "46091.396527777775",
  "46091.397222222222",
  "46091.397916666669",
  "46091.398611111108",
  "46091.399305555555",
  "46091.4",
  "46091.400694444441",
  "46091.401388888888",
  "46091.402083333334",
  "46091.402777777781",
];

/** By the name of the file in `e2e/files`. */
export const journeyWorkbooks: Readonly<Record<string, WrittenWorkbook>> = {
  "two sheets.xlsx": {
    sheets: [
      {
        name: "Room",
        rows: [
          texts("Time", "Air temperature (°C)", "Relative humidity (%)"),
          ...minutes.map((time): WrittenCell[] => [
            { number: time, format: dateTime },
            { number: "23" },
            { number: "45" },
          ]),
          ...Array.from({ length: 20 }, (_, i): WrittenCell[] => [
            { number: `46091.4${String(4 + i).padStart(2, "0")}`, format: dateTime },
            { number: "23" },
            { number: "45" },
          ]),
        ],
      },
      {
        name: "Skin",
        rows: [
          texts("Time", "left forearm anterior mean (°C)", "left hand dorsal mean (°C)"),
          ...minutes.map((time, i): WrittenCell[] => [
            { number: time, format: dateTime },
            { number: forearm[i] ?? "" },
            { number: hand[i] ?? "" },
          ]),
        ],
      },
    ],
  },
};
