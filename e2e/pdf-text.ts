import { inflateSync } from "node:zlib";

/**
 * The text of a PDF whose fonts are embedded with tables of their letters, as this product writes it: streams are inflated, and
 * each glyph is looked up in the table of the font that it is set in. Enough to read what a copy says, in its order.
 */
export function textOfPdf(bytes: Buffer): string {
  const objects = objectsOf(bytes);
  const letters = new Map<string, ReadonlyMap<string, string>>();
  for (const { dictionary } of objects.values()) {
    for (const [, name, font] of dictionary.matchAll(/\/(F\d+) (\d+) 0 R/g)) {
      const table = /\/ToUnicode (\d+) 0 R/.exec(objects.get(font ?? "")?.dictionary ?? "")?.[1];
      const map = objects.get(table ?? "")?.stream;
      if (name !== undefined && map !== undefined && map !== null) letters.set(name, lettersOf(map));
    }
  }
  const said: string[] = [];
  for (const { stream } of objects.values()) {
    if (stream === null || !/ Tf\b/.test(stream)) continue;
    let table: ReadonlyMap<string, string> = new Map();
    for (const [, font, shown] of stream.matchAll(
      /\/(F\d+) [\d.]+ Tf|\[((?:<[0-9a-fA-F]*>|[-\d. ])*)\] TJ/g,
    )) {
      if (font !== undefined) table = letters.get(font) ?? new Map();
      if (shown === undefined) continue;
      const glyphs = [...shown.matchAll(/<([0-9a-fA-F]*)>/g)].map(([, digits]) => digits ?? "").join("");
      said.push((glyphs.match(/.{4}/g) ?? []).map((glyph) => table.get(glyph.toLowerCase()) ?? "?").join(""));
    }
  }
  return said.join(" ").replace(/\s+/g, " ");
}

interface PdfObject {
  readonly dictionary: string;
  readonly stream: string | null;
}

function objectsOf(bytes: Buffer): Map<string, PdfObject> {
  const text = bytes.toString("latin1");
  const objects = new Map<string, PdfObject>();
  for (const found of text.matchAll(/(?:^|\n)(\d+) 0 obj\n([\s\S]*?)(?=\nendobj)/g)) {
    const [, number = "", body = ""] = found;
    const at = body.indexOf("stream\n");
    const dictionary = at === -1 ? body : body.slice(0, at);
    const raw = at === -1 ? null : Buffer.from(body.slice(at + 7).replace(/\nendstream\s*$/, ""), "latin1");
    objects.set(number, {
      dictionary,
      stream:
        raw === null
          ? null
          : (dictionary.includes("/FlateDecode") ? inflateSync(raw) : raw).toString("latin1"),
    });
  }
  return objects;
}

/** Which letters each glyph stands for: the ranges of a font's ToUnicode table. */
function lettersOf(table: string): ReadonlyMap<string, string> {
  const letters = new Map<string, string>();
  for (const [, first = "", list = ""] of table.matchAll(
    /<([0-9a-fA-F]{4})>\s*<[0-9a-fA-F]{4}>\s*\[([^\]]*)\]/g,
  )) {
    const begin = Number.parseInt(first, 16);
    [...list.matchAll(/<([0-9a-fA-F ]*)>/g)].forEach(([, units = ""], index) => {
      const codes = units.replaceAll(" ", "").match(/.{4}/g) ?? [];
      letters.set(
        (begin + index).toString(16).padStart(4, "0"),
        String.fromCharCode(...codes.map((code) => Number.parseInt(code, 16))),
      );
    });
  }
  return letters;
}
