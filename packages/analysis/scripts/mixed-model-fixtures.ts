import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { z } from "zod";
import { startR } from "../test/statistics/live-r";
import { mixedModelInR } from "../test/statistics/mixed-model-in-r";

/**
 * Recomputes the fixtures of mixed models with base R, from dense matrices and numerical derivatives, and prints how far the
 * recorded values (lme4 and lmerTest, refined) lie from them; `--write` puts the recomputed ones in their place.
 * `npm run mixed-model-fixtures -w packages/analysis`.
 */
const numbers = z.array(z.number());
const recorded = z.looseObject({
  fixef: numbers,
  se: numbers,
  satterthwaiteDf: numbers,
  varResidual: z.number(),
  varIntercept: z.number(),
  varSlope: z.number().nullable(),
  covInterceptSlope: z.number().nullable(),
  criterion: z.number(),
});
const fixture = z.looseObject({
  input: z.looseObject({
    y: numbers,
    group: z.array(z.string()),
    X: z.array(numbers),
    randomCorrelated: z.boolean().nullable(),
    slopeColumn: numbers.optional(),
  }),
  expected: z.looseObject({ REML: recorded, ML: recorded }),
});

const folder = new URL("../test/fixtures/", import.meta.url);
const write = process.argv.includes("--write");
const r = await startR();
try {
  for (const file of readdirSync(folder).filter((name) => name.startsWith("mixed-model-"))) {
    const url = new URL(file, folder);
    const data = fixture.parse(JSON.parse(readFileSync(url, "utf8")));
    const { y, group, X, slopeColumn, randomCorrelated } = data.input;
    const p = X[0]?.length ?? 0;
    for (const estimation of ["REML", "ML"] as const) {
      const values = await r.numbers(
        `${mixedModelInR} mixed(y, X, g, ${slopeColumn ? "s" : "NULL"}, ${randomCorrelated === false ? "FALSE" : "TRUE"}, ${estimation === "REML" ? "TRUE" : "FALSE"}, df = TRUE)`,
        { y, g: group, X: { rows: X }, ...(slopeColumn ? { s: slopeColumn } : {}) },
      );
      const expected = data.expected[estimation];
      const slope = slopeColumn !== undefined;
      const was = [
        ...expected.fixef,
        ...expected.se,
        expected.varResidual,
        expected.varIntercept,
        ...(slope ? [expected.varSlope ?? 0, expected.covInterceptSlope ?? 0] : []),
        expected.criterion,
        ...expected.satterthwaiteDf,
      ];
      const worst = Math.max(
        ...was.map((value, i) => Math.abs(value - (values[i] ?? Number.NaN)) / Math.max(1, Math.abs(value))),
      );
      console.log(
        `${file} ${estimation}: recorded and recomputed differ by ${worst.toExponential(1)} at most`,
      );
      if (!write) continue;
      const at = 2 * p;
      expected.fixef = values.slice(0, p);
      expected.se = values.slice(p, at);
      expected.varResidual = values[at] as number;
      expected.varIntercept = values[at + 1] as number;
      if (slope) {
        expected.varSlope = values[at + 2] as number;
        expected.covInterceptSlope = values[at + 3] as number;
      }
      expected.criterion = values[at + (slope ? 4 : 2)] as number;
      expected.satterthwaiteDf = values.slice(at + (slope ? 5 : 3));
    }
    if (write) writeFileSync(url, JSON.stringify(data));
  }
} finally {
  r.close();
}
