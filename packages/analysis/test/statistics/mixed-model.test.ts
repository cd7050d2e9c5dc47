import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import { AnalysisError } from "../../src/analysis-error";
import { likelihoodRatioTest, type MixedModelInput, mixedModel } from "../../src/statistics";
import { expectClose } from "./close-to";

const numbers = z.array(z.number());
const fit = z.object({
  fixef: numbers,
  se: numbers,
  satterthwaiteDf: numbers,
  satterthwaiteP: numbers,
  varResidual: z.number(),
  varIntercept: z.number(),
  varSlope: z.number().nullable(),
  covInterceptSlope: z.number().nullable(),
  criterion: z.number(),
  AIC: z.number(),
  BIC: z.number(),
  ranefIntercept: numbers,
});
const fixture = z.object({
  source: z.object({ citation: z.string(), software: z.string(), call: z.string() }),
  input: z.object({
    y: numbers,
    group: z.array(z.string()),
    X: z.array(numbers),
    randomSlope: z.string().nullable(),
    randomCorrelated: z.boolean().nullable(),
    slopeColumn: numbers.optional(),
  }),
  expected: z.object({ groupOrder: z.array(z.string()), REML: fit, ML: fit }),
});

/** Results of R's lme4 and lmerTest, refined to full double precision; the file names its dataset and call. */
function read(name: string) {
  const file = new URL(`../fixtures/mixed-model-${name}.json`, import.meta.url);
  return fixture.parse(JSON.parse(readFileSync(file, "utf8")));
}

function inputOf({ input }: z.infer<typeof fixture>): MixedModelInput {
  const width = input.X[0]?.length ?? 0;
  const variables: Record<string, number[]> = {};
  for (let j = 1; j < width; j++) variables[`x${j}`] = input.X.map((row) => row[j] as number);
  const terms = Object.keys(variables);
  if (input.slopeColumn) variables.slope = input.slopeColumn;
  return {
    outcome: input.y,
    volunteers: input.group,
    variables,
    terms,
    ...(input.slopeColumn ? { randomSlope: "slope", correlated: input.randomCorrelated ?? true } : {}),
  };
}

describe("mixedModel against lme4 and lmerTest", () => {
  for (const name of [
    "sleepstudy-slope",
    "sleepstudy-slope-uncorrelated",
    "sleepstudy-missing-slope",
    "orthodont-age-sex-intercept",
    "dyestuff-mean",
  ]) {
    for (const estimation of ["REML", "ML"] as const) {
      it(`gives the estimates, standard errors and degrees of freedom of ${name} by ${estimation}`, () => {
        const data = read(name);
        const expected = data.expected[estimation];
        const model = mixedModel({ ...inputOf(data), estimation });
        model.coefficients.forEach((coefficient, j) => {
          expectClose(coefficient.estimate, expected.fixef[j] as number, 1e-8);
          expectClose(coefficient.standardError, expected.se[j] as number, 1e-8);
          expectClose(coefficient.degreesOfFreedom, expected.satterthwaiteDf[j] as number, 1e-7);
          expectClose(coefficient.p, expected.satterthwaiteP[j] as number, 1e-6);
        });
        expectClose(model.variances.residual, expected.varResidual, 1e-8);
        expectClose(model.variances.intercept, expected.varIntercept, 1e-8);
        if (expected.varSlope !== null) expectClose(model.variances.slope, expected.varSlope, 1e-8);
        if (expected.covInterceptSlope)
          expectClose(model.variances.covariance, expected.covInterceptSlope, 1e-6);
        expectClose(model.criterion, expected.criterion, 1e-10);
        expectClose(model.aic, expected.AIC, 1e-10);
        expectClose(model.bic, expected.BIC, 1e-10);
        for (const { volunteer, intercept } of model.randomEffects) {
          const theirs = expected.ranefIntercept[data.expected.groupOrder.indexOf(volunteer)] as number;
          expectClose(intercept, theirs, 1e-6, 1e-3);
        }
      });
    }
  }

  it("gives the published estimates of the sleep deprivation study", () => {
    // Bates, Maechler, Bolker & Walker 2015, Journal of Statistical Software 67(1), section 5.2, as printed there.
    const model = mixedModel(inputOf(read("sleepstudy-slope")));
    expect(Math.sqrt(model.variances.intercept).toFixed(2)).toBe("24.74");
    expect(Math.sqrt(model.variances.slope ?? 0).toFixed(2)).toBe("5.92");
    expect(model.variances.correlation?.toFixed(2)).toBe("0.07");
    expect(Math.sqrt(model.variances.residual).toFixed(2)).toBe("25.59");
    expect(model.criterion.toFixed(1)).toBe("1743.6");
  });

  it("keeps its digits when the outcome is shifted by a million", () => {
    const input = inputOf(read("sleepstudy-slope"));
    const shifted = mixedModel({ ...input, outcome: Array.from(input.outcome, (value) => value + 1e6) });
    const plain = mixedModel(input);
    expectClose(shifted.variances.intercept, plain.variances.intercept, 1e-7);
    expectClose(shifted.coefficients[1]?.estimate, plain.coefficients[1]?.estimate as number, 1e-8);
  });
});

describe("mixedModel", () => {
  const input = inputOf(read("sleepstudy-slope"));

  it("predicts means at settings, a covariate that is not named standing at its mean", () => {
    const model = mixedModel({ ...input, predictAt: [{ x1: 0 }, { x1: 9 }, {}] });
    const [start, end, middle] = model.predictedMeans;
    const [intercept, slope] = model.coefficients;
    expectClose(start?.estimate, intercept?.estimate as number);
    expectClose(start?.standardError, intercept?.standardError as number);
    expectClose(start?.degreesOfFreedom, intercept?.degreesOfFreedom as number);
    expectClose(end?.estimate, (intercept?.estimate as number) + 9 * (slope?.estimate as number));
    expectClose(middle?.estimate, (intercept?.estimate as number) + 4.5 * (slope?.estimate as number));
  });

  it("averages factors that are not named with equal weight", () => {
    const cover = input.volunteers.map((volunteer) => (Number(volunteer) % 2 === 0 ? "bare" : "covered"));
    const model = mixedModel({
      ...input,
      variables: { ...input.variables, cover },
      terms: ["x1", "cover"],
      predictAt: [{ x1: 3 }, { x1: 3, cover: "bare" }, { x1: 3, cover: "covered" }],
    });
    const [both, bare, covered] = model.predictedMeans.map(({ estimate }) => estimate);
    expectClose(both, ((bare as number) + (covered as number)) / 2);
  });

  it("tests a term by the likelihood ratio of two fits", () => {
    // R: anova(lmer(y ~ Days + (1 + Days | group), REML = FALSE), lmer(y ~ 1 + (1 + Days | group), REML = FALSE)):
    // criteria 1751.94 and 1775.48 (difference 23.537, p 1.226e-06), as in the lme4 documentation of this dataset.
    const full = mixedModel({ ...input, estimation: "ML" });
    const reduced = mixedModel({ ...input, terms: [], estimation: "ML" });
    const test = likelihoodRatioTest(full, reduced);
    expect(test.degreesOfFreedom).toBe(1);
    expect(test.statistic.toFixed(3)).toBe("23.537");
    expect(test.p.toExponential(3)).toBe("1.226e-6");
  });

  it("refuses to compare REML fits of different fixed effects, and fits of different rows", () => {
    const full = mixedModel(input);
    expect(() => likelihoodRatioTest(full, mixedModel({ ...input, terms: [] }))).toThrow(AnalysisError);
    const outcome = Array.from(input.outcome);
    outcome[0] = Number.NaN;
    expect(() => likelihoodRatioTest(full, mixedModel({ ...input, outcome, correlated: false }))).toThrow(
      /same rows/,
    );
  });

  it("says so when the data hold no variance between volunteers, and gives no degrees of freedom then", () => {
    // Each volunteer's values have the same mean.
    const model = mixedModel({
      outcome: [1, 2, 3, 3, 2, 1, 2, 1, 3],
      volunteers: ["a", "a", "a", "b", "b", "b", "c", "c", "c"],
      variables: {},
      terms: [],
    });
    expect(model.singular).toBe(true);
    expect(model.variances.intercept).toBeLessThan(1e-6);
    expect(model.coefficients[0]?.degreesOfFreedom).toBeNull();
    expect(model.coefficients[0]?.p).toBeNull();
  });

  it("leaves out rows with a missing outcome, covariate or volunteer", () => {
    const outcome = Array.from(input.outcome);
    outcome[3] = Number.NaN;
    const volunteers = [...input.volunteers];
    volunteers[4] = null;
    const model = mixedModel({ ...input, outcome, volunteers });
    expect(model.n).toBe(178);
    expect(model.missing).toBe(2);
  });

  it("refuses data that cannot carry the model, naming the argument", () => {
    const refusal = (changed: Partial<MixedModelInput>) => {
      try {
        mixedModel({ ...input, ...changed });
      } catch (error) {
        if (error instanceof AnalysisError) return `${error.code}: ${error.argument}`;
        throw error;
      }
      return "none";
    };
    expect(refusal({ volunteers: input.volunteers.map(() => "one") })).toBe("too few: volunteers");
    expect(refusal({ volunteers: input.volunteers.map((_, i) => String(i)) })).toBe("too few: volunteers");
    expect(refusal({ volunteers: ["a"] })).toBe("unequal lengths: volunteers");
    expect(refusal({ outcome: input.outcome.length ? Array.from(input.outcome, () => 5) : [] })).toBe(
      "constant: outcome",
    );
    expect(refusal({ outcome: Array.from(input.outcome, () => Number.NaN) })).toBe("too few: volunteers");
    expect(refusal({ terms: ["unheard of"] })).toBe("unknown: terms");
    expect(refusal({ terms: ["x1", ["x1", "slope"]] })).toBe("missing: terms");
    expect(refusal({ terms: ["x1", "slope"] })).toBe("refused: terms");
    expect(refusal({ level: 1 })).toBe("out of range: level");
  });
});
