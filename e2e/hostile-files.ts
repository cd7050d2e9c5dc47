import { gzipSync } from "node:zlib";

/** Files that break readers, made here: no recording of anybody. What a person must be told of each stands beside it. */
export interface HostileFile {
  readonly name: string;
  readonly bytes: Buffer;
  /** `refused`: nothing is kept. `kept`: it waits with the sentence. `read`: it can be read, and says what was left out. */
  readonly outcome: "refused" | "kept" | "read";
  readonly says: RegExp;
}

const rows = (count: number, row: (i: number) => string) =>
  Array.from({ length: count }, (_, i) => row(i)).join("\n");
const usual = "time (s),left forearm anterior (mean °C)";
const value = (i: number) => (33 + (i % 40) / 100).toFixed(2);
const plain = (count: number, salt: number) =>
  `${usual}\n${rows(count, (i) => `${i},${(33 + ((i + salt) % 40) / 100).toFixed(2)}`)}\n`;
const text = (content: string) => Buffer.from(content, "utf8");

export function hostileFiles(): HostileFile[] {
  const wide = Array.from({ length: 100_000 }, (_, i) => `c${i}`).join(",");
  return [
    { name: "empty.csv", bytes: Buffer.alloc(0), outcome: "refused", says: /empty \(0 bytes\)/ },
    { name: "blank.csv", bytes: text("   \n\n  \n"), outcome: "refused", says: /holds nothing but blanks/ },
    {
      name: "picture.csv",
      bytes: Buffer.concat([Buffer.from("89504e470d0a1a0a0000000d49484452", "hex"), Buffer.alloc(300, 7)]),
      outcome: "refused",
      says: /This is a PNG image/,
    },
    {
      name: "document.csv",
      bytes: text(`%PDF-1.7\n${"\u0001\u0002 stream".repeat(60)}`),
      outcome: "refused",
      says: /This is a PDF document/,
    },
    {
      name: "archive.csv",
      bytes: Buffer.concat([Buffer.from("504b0304140000000800", "hex"), Buffer.alloc(400, 1)]),
      outcome: "refused",
      says: /This is a ZIP archive\. Unpack it/,
    },
    {
      name: "old-workbook.csv",
      bytes: Buffer.concat([Buffer.from("d0cf11e0a1b11ae1", "hex"), Buffer.alloc(600, 0)]),
      outcome: "refused",
      says: /old binary spreadsheet/,
    },
    {
      name: "random.csv",
      bytes: Buffer.from(Array.from({ length: 4000 }, (_, i) => (i * 7919 + (i >> 3) * 104729) % 251)),
      outcome: "refused",
      says: /Line 1 holds a NUL byte/,
    },
    {
      name: "nul-bytes.csv",
      bytes: text(
        `${usual}\n0,33.10\n1,33.\u0000\u0000\u000020\n2,33.30\n${rows(30, (i) => `${i + 3},${value(i)}`)}\n`,
      ),
      outcome: "refused",
      says: /Line 3 holds a NUL byte/,
    },
    {
      name: "cut.csv.gz",
      bytes: gzipSync(text(plain(4000, 1))).subarray(0, 700),
      outcome: "refused",
      says: /gzip file ends too early/,
    },
    {
      name: "damaged.csv.gz",
      bytes: Buffer.concat([Buffer.from("1f8b0800", "hex"), Buffer.alloc(300, 0xaa)]),
      outcome: "refused",
      says: /gzip/,
    },
    {
      name: "packed-picture.csv.gz",
      bytes: gzipSync(Buffer.concat([Buffer.from("89504e470d0a1a0a", "hex"), Buffer.alloc(300, 7)])),
      outcome: "refused",
      says: /This is a PNG image/,
    },
    {
      name: "hundred-thousand-columns.csv",
      bytes: text(`${wide}\n${wide.replaceAll("c", "")}\n`),
      outcome: "kept",
      says: /Line 1 has more than 4096 cells/,
    },
    {
      name: "one-line.csv",
      bytes: text(`${usual}\n${"33.1,".repeat(1_100_000)}`),
      outcome: "kept",
      says: /No rows of numbers were found/,
    },
    {
      name: "open-quote.csv",
      bytes: text(`${usual}\n${rows(40, (i) => `${i},${i === 20 ? '"33.10' : value(i)}`)}\n`),
      outcome: "read",
      says: /1 cell holds no number and counts as missing \(line 22\)/,
    },
    {
      name: "header-only.csv",
      bytes: text(`${usual}\n`),
      outcome: "kept",
      says: /No rows of numbers were found/,
    },
    {
      name: "page.csv",
      bytes: text(`<!doctype html><html><body><p>Sign in</p></body></html>\n`),
      outcome: "kept",
      says: /XML or HTML page, not a table/,
    },
    {
      name: "prose.txt",
      bytes: text("The camera stood on the left.\nNothing else was noted.\n"),
      outcome: "kept",
      says: /No rows of numbers were found/,
    },
    {
      name: "no-times.csv",
      bytes: text(`left forearm (°C),left hand (°C)\n${rows(12, (i) => `${value(i)},${value(i + 3)}`)}\n`),
      outcome: "kept",
      says: /No column holds the time of the rows/,
    },
    {
      name: "<b onmouseover=alert(1)>markup.csv",
      bytes: text(
        `time (s),<img src=x onerror="document.title='broken'">,=HYPERLINK("http://example.org")\n${rows(20, (i) => `${i},${value(i)},=1+1`)}\n`,
      ),
      outcome: "kept",
      says: /names no region or channel that is known/,
    },
    {
      name: "cut-row.csv",
      bytes: text(
        `time (s),left forearm anterior (mean °C),left hand dorsal (mean °C)\n${rows(30, (i) => `${i},${value(i)},${value(i + 5)}`)}\n30,33.`,
      ),
      outcome: "read",
      says: /breaks off in the middle of its last row \(line 32\)/,
    },
    {
      name: "backwards.csv",
      bytes: text(`${usual}\n${rows(30, (i) => `${i === 12 ? 11 : i === 20 ? 5 : i},${value(i + 1)}`)}\n`),
      outcome: "read",
      says: /1 row has an earlier time than the row before it/,
    },
    {
      name: "header-again.csv",
      bytes: text(`${plain(20, 2)}${usual}\n${rows(20, (i) => `${i + 20},${value(i)}`)}\n`),
      outcome: "read",
      says: /1 row was not used, header repeated: line 22/,
    },
    {
      name: "formulas.csv",
      bytes: text(`${usual}\n${rows(30, (i) => `${i},${i % 7 === 3 ? "=A1+1" : value(i + 2)}`)}\n`),
      outcome: "read",
      says: /4 cells hold no number and count as missing \(line 5, 12, 19, 26\)/,
    },
    {
      name: "columns-appear.csv",
      bytes: text(
        `${usual}\n${rows(40, (i) => (i < 20 ? `${i},${value(i + 7)}` : `${i},${value(i)},31.50`))}\n`,
      ),
      outcome: "read",
      says: /20 rows have fewer cells than the file has columns/,
    },
  ];
}
