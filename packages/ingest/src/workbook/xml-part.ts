import { SaxesParser } from "saxes";
import { SourceFileError } from "../source-file-error";
import { damagedWorkbook } from "./damaged-workbook";

export type Attributes = Readonly<Record<string, string>>;

/** What a reader of a part wants to know; names come without their namespace prefix. */
export interface PartHandler {
  open(name: string, attributes: Attributes): void;
  close(name: string): void;
  text(text: string): void;
}

/** The longest run without a tag: a cell holds at most 32,767 characters (ECMA-376 part 1, annex on limits of applications). */
const longestRun = 1 << 20;

/**
 * XML of a workbook part in, elements and texts out. Declarations of document types are refused, so there are no entities
 * beyond the five of XML, and nothing is ever fetched.
 */
export class XmlPart {
  private readonly parser = new SaxesParser<{ xmlns: false; position: false }>({
    xmlns: false,
    position: false,
  });
  private decoder: TextDecoder | null = null;
  private sinceTag = 0;

  constructor(
    private readonly name: string,
    handler: PartHandler,
  ) {
    const { parser } = this;
    parser.on("opentag", (tag) => {
      this.sinceTag = 0;
      handler.open(localName(tag.name), tag.attributes);
    });
    parser.on("closetag", (tag) => {
      this.sinceTag = 0;
      handler.close(localName(tag.name));
    });
    parser.on("text", (text) => handler.text(text));
    parser.on("cdata", (text) => handler.text(text));
    parser.on("doctype", () => {
      throw damagedWorkbook(`its part ${name} declares a document type, which no workbook does`);
    });
    parser.on("error", () => {
      throw damagedWorkbook(`its part ${name} is not well-formed XML`);
    });
  }

  push(bytes: Uint8Array): void {
    this.decoder ??= decoderFor(bytes);
    this.write(this.decode(bytes, true));
  }

  end(): void {
    this.write(this.decode(new Uint8Array(0), false));
    this.parser.close();
  }

  private decode(bytes: Uint8Array, more: boolean): string {
    try {
      return this.decoder?.decode(bytes, { stream: more }) ?? "";
    } catch {
      throw damagedWorkbook(`its part ${this.name} holds bytes that are no text`);
    }
  }

  private write(text: string): void {
    if (text === "") return;
    // Counted before, so that tags in this piece set it back.
    this.sinceTag += text.length;
    if (this.sinceTag > longestRun + text.length) {
      throw new SourceFileError(
        "too-large",
        `The part ${this.name} of the workbook holds a text of more than ${longestRun} characters, which no cell can. Export the sheet as CSV.`,
      );
    }
    this.parser.write(text);
  }
}

function decoderFor(head: Uint8Array): TextDecoder {
  const label =
    head[0] === 0xff && head[1] === 0xfe
      ? "utf-16le"
      : head[0] === 0xfe && head[1] === 0xff
        ? "utf-16be"
        : "utf-8";
  return new TextDecoder(label, { fatal: true });
}

function localName(name: string): string {
  const colon = name.indexOf(":");
  return colon < 0 ? name : name.slice(colon + 1);
}

/** The value of an attribute, whatever namespace prefix stands before its name. */
export function attributeOf(attributes: Attributes, name: string): string | undefined {
  const plain = attributes[name];
  if (plain !== undefined) return plain;
  const key = Object.keys(attributes).find((candidate) => candidate.endsWith(`:${name}`));
  return key === undefined ? undefined : attributes[key];
}

/** Booleans of SpreadsheetML are "1", "true", "0" or "false". */
export function isOn(value: string | undefined): boolean {
  return value === "1" || value === "true";
}
