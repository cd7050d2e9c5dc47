import { readFileSync, writeFileSync } from "node:fs";
import { type Agreement, measureAgreement } from "../test/statistics/agreement/agreement-check";
import { allChecks } from "../test/statistics/agreement/all-checks";
import { startR } from "../test/statistics/live-r";

/**
 * Measures every check of agreement with R and writes the table of worst disagreements into the README:
 * `npm run agreement -w packages/analysis`.
 */
const START = "<!-- agreement: written by npm run agreement -w packages/analysis -->";
const END = "<!-- end of agreement -->";
const readme = new URL("../README.md", import.meta.url);

const r = await startR();
const rows: Agreement[] = [];
try {
  for (const check of allChecks) rows.push(await measureAgreement(check, r));
} finally {
  r.close();
}

const text = readFileSync(readme, "utf8");
const from = text.indexOf(START);
const to = text.indexOf(END);
if (from < 0 || to < from) throw new Error(`README.md holds no place for the table: ${START} ... ${END}`);
const table = [
  "| function | against | values compared | worst relative disagreement | accepted |",
  "|---|---|---:|---:|---:|",
  ...rows.map(
    ({ name, against, values, worst, bound }) =>
      `| ${name} | ${against} | ${values} | ${worst === 0 ? "0" : worst.toExponential(1)} | ${bound === 0 ? "0" : bound.toExponential(0)} |`,
  ),
];
writeFileSync(readme, `${text.slice(0, from)}${START}\n\n${table.join("\n")}\n\n${text.slice(to)}`);

const beyond = rows.filter(({ worst, bound }) => worst > bound);
for (const { name, worst, worstCase } of beyond) console.error(`${name}: ${worst}\n${worstCase}`);
console.log(`${rows.length} checks, ${beyond.length} beyond what is accepted.`);
process.exitCode = beyond.length === 0 ? 0 : 1;
