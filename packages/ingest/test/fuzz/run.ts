import { parseArgs } from "node:util";
import { storeFinding } from "./findings";
import { watchedRun } from "./watched-run";

/** `npm run fuzz -w packages/ingest -- --minutes 10 [--seed N]`: what it finds is kept in findings/ and read by every test run. */
const { values } = parseArgs({
  options: { minutes: { type: "string", default: "1" }, seed: { type: "string" } },
});
const minutes = Number(values.minutes);
const seed = values.seed === undefined ? Date.now() : Number(values.seed);
if (!(minutes > 0) || !Number.isSafeInteger(seed) || seed < 0) {
  throw new Error("Usage: npm run fuzz -w packages/ingest -- --minutes 10 [--seed N], N a whole number.");
}

console.log(`Fuzzing for ${minutes} min with seed ${seed}.`);
const untilMs = Date.now() + minutes * 60_000;
let findings = 0;
await watchedRun(seed, untilMs, (report) => {
  if (report.kind === "finding") {
    findings++;
    const name = storeFinding(report, report.what, report.about);
    console.log(
      `FINDING ${name}: ${report.about.slice(0, 500)}\n${report.stack.split("\n").slice(0, 6).join("\n")}`,
    );
  } else {
    const { kind, inputs, queue, ways } = report;
    console.log(
      `${kind === "done" ? "Done" : "So far"}: ${inputs} inputs, ${ways} ways through the sources, ${queue} inputs that took new ones, ${findings} findings.`,
    );
  }
});
process.exitCode = findings === 0 ? 0 : 1;
