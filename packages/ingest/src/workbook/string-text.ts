import type { Attributes, PartHandler } from "./xml-part";

/** "_x000D_" stands for the character of that code (ECMA-376 part 1, 22.9.2.19). */
function unescaped(text: string): string {
  if (!text.includes("_x")) return text;
  return text.replace(/_x([0-9a-fA-F]{4})_/g, (_, code: string) =>
    String.fromCharCode(Number.parseInt(code, 16)),
  );
}

/**
 * Gathers the text of a string item, which may stand in one piece or in runs of different type; readings that are printed
 * over East Asian characters are not part of it.
 */
export class StringText implements PartHandler {
  private pieces = "";
  private inText = false;
  private readings = 0;

  reset(): void {
    this.pieces = "";
    this.inText = false;
    this.readings = 0;
  }

  value(): string {
    return unescaped(this.pieces);
  }

  open(name: string, _attributes?: Attributes): void {
    if (name === "rPh") this.readings++;
    this.inText = name === "t" && this.readings === 0;
  }

  close(name: string): void {
    if (name === "rPh") this.readings--;
    this.inText = false;
  }

  text(text: string): void {
    if (this.inText) this.pieces += text;
  }
}
