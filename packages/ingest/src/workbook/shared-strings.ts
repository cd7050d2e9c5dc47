import type { ReadLimits } from "../limits";
import { SourceFileError } from "../source-file-error";
import { StringText } from "./string-text";
import type { Attributes, PartHandler } from "./xml-part";

/** The strings that cells name by their number. */
export class SharedStrings implements PartHandler {
  readonly strings: string[] = [];
  private readonly item = new StringText();
  private characters = 0;

  constructor(private readonly limits: ReadLimits) {}

  open(name: string, attributes: Attributes): void {
    if (name === "si") this.item.reset();
    this.item.open(name, attributes);
  }

  close(name: string): void {
    this.item.close(name);
    if (name !== "si") return;
    const text = this.item.value();
    this.strings.push(text);
    // An empty one takes room too.
    this.characters += text.length + 8;
    if (this.characters > this.limits.maxSharedCharacters) {
      throw new SourceFileError(
        "too-large",
        `The workbook holds more than ${Math.round(this.limits.maxSharedCharacters / 2 ** 20)} million characters of text. Copy the sheet with the recording into a new workbook, or export it as CSV.`,
      );
    }
  }

  text(text: string): void {
    this.item.text(text);
  }
}
