import { writeFileSync } from "node:fs";
import { corpusWorkbooks, journeyWorkbooks } from "./corpus-workbooks";
import { writeWorkbook } from "./write-workbook";

/** Writes the workbooks of corpus and journeys; a test holds the files to what this writes. */
for (const [folder, workbooks] of [
  ["../corpus/", corpusWorkbooks],
  ["../../../../e2e/files/", journeyWorkbooks],
] as const) {
  for (const [name, workbook] of Object.entries(workbooks)) {
    writeFileSync(new URL(folder + encodeURIComponent(name), import.meta.url), writeWorkbook(workbook));
  }
}
