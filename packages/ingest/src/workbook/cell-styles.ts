import { damagedWorkbook } from "./damaged-workbook";
import { builtInKind, type DateKind, numberFormatKind } from "./number-format-kind";
import { type Attributes, attributeOf, type PartHandler } from "./xml-part";

/** A workbook has at most 65,490 cell formats (limits of Excel, Microsoft support, "Excel specifications and limits"). */
const mostStyles = 1 << 17;

/** Which cell formats show their number as a date or a time. */
export class CellStyles implements PartHandler {
  /** By the number that cells give as their style. */
  readonly kinds: DateKind[] = [];
  private readonly codes = new Map<number, DateKind>();
  private inCellFormats = false;

  open(name: string, attributes: Attributes): void {
    if (name === "numFmt") {
      const id = Number(attributeOf(attributes, "numFmtId"));
      this.codes.set(id, numberFormatKind(attributeOf(attributes, "formatCode") ?? ""));
    } else if (name === "cellXfs") this.inCellFormats = true;
    else if (name === "xf" && this.inCellFormats) {
      if (this.kinds.length >= mostStyles)
        throw damagedWorkbook("it has more cell formats than a workbook can");
      const id = Number(attributeOf(attributes, "numFmtId") ?? 0);
      this.kinds.push(this.codes.get(id) ?? builtInKind(id));
    }
  }

  close(name: string): void {
    if (name === "cellXfs") this.inCellFormats = false;
  }

  text(): void {
    // Styles say everything in attributes.
  }
}
