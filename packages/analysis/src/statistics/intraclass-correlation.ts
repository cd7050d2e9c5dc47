import { AnalysisError } from "../analysis-error";
import { square } from "../elementary";
import { fQuantile, fUpperTail } from "./distributions/f";
import { checkLevel } from "./numeric/check-option";
import { completeRows } from "./numeric/complete-rows";
import type { Interval } from "./result";
import { type TwoWayMeanSquares, twoWayMeanSquares } from "./two-way-mean-squares";

/** The six forms of Shrout & Fleiss 1979: model 1, 2 or 3, for a single occasion or the mean of all k. */
export type IccForm = "ICC(1,1)" | "ICC(2,1)" | "ICC(3,1)" | "ICC(1,k)" | "ICC(2,k)" | "ICC(3,k)";

export interface IccEstimate {
  readonly form: IccForm;
  readonly method: string;
  readonly estimate: number;
  readonly interval: Interval;
  /** F test of no difference between volunteers. */
  readonly statistic: number;
  readonly degreesOfFreedom: readonly [number, number];
  readonly p: number;
}

export interface IccResult {
  readonly forms: Readonly<Record<IccForm, IccEstimate>>;
  readonly meanSquares: TwoWayMeanSquares;
  readonly n: number;
  readonly occasions: number;
  readonly missing: number;
}

/**
 * Intraclass correlation in all six forms (Shrout & Fleiss 1979, Psychological Bulletin 86:420-428) with the intervals of
 * McGraw & Wong 1996 (Psychological Methods 1:30-46). Estimates are not cut off at zero.
 * @param rows one row per volunteer, one column per occasion; a row with NaN is left out
 * @throws AnalysisError `too few` below two volunteers or occasions, `constant` when occasions do not differ at all.
 */
export function intraclassCorrelation(
  rows: readonly ArrayLike<number>[],
  options: { readonly level?: number } = {},
): IccResult {
  const { level = 0.95 } = options;
  checkLevel(level, "intraclassCorrelation");
  const { complete, missing, columns: k } = completeRows(rows, "rows", "intraclassCorrelation", 2, 2);
  const n = complete.length;
  const meanSquares = twoWayMeanSquares(complete);
  const { between, within, occasions, error } = meanSquares;
  if (!(error > 0) || !(within > 0)) {
    throw new AnalysisError(
      "constant",
      "intraclassCorrelation",
      "rows",
      "occasions that differ within volunteers",
    );
  }
  const outside = (1 - level) / 2;
  const oneWayDf: [number, number] = [n - 1, n * (k - 1)];
  const twoWayDf: [number, number] = [n - 1, (n - 1) * (k - 1)];
  const oneWay = ratioTest(between / within, oneWayDf, outside);
  const twoWay = ratioTest(between / error, twoWayDf, outside);
  const agreement = (between - error) / (between + (k - 1) * error + (k * (occasions - error)) / n);
  const agreementEnds = agreementInterval(meanSquares, agreement, n, k, outside);
  const single = ({ low, high }: Ratio): Interval => ({
    lower: (low - 1) / (low + k - 1),
    upper: (high - 1) / (high + k - 1),
    level,
  });
  const average = ({ low, high }: Ratio): Interval => ({ lower: 1 - 1 / low, upper: 1 - 1 / high, level });
  const stepUp = (single: number) => (single * k) / (1 + single * (k - 1));
  const form = (
    name: IccForm,
    words: string,
    estimate: number,
    interval: Interval,
    test: Ratio,
  ): IccEstimate => ({
    form: name,
    method: `${words}, ${name} of Shrout & Fleiss`,
    estimate,
    interval,
    statistic: test.f,
    degreesOfFreedom: test.df,
    p: fUpperTail(test.f, test.df[0], test.df[1]),
  });
  return {
    forms: {
      "ICC(1,1)": form(
        "ICC(1,1)",
        "one-way random, single occasion",
        (between - within) / (between + (k - 1) * within),
        single(oneWay),
        oneWay,
      ),
      "ICC(2,1)": form(
        "ICC(2,1)",
        "two-way random, absolute agreement, single occasion",
        agreement,
        { ...agreementEnds, level },
        twoWay,
      ),
      "ICC(3,1)": form(
        "ICC(3,1)",
        "two-way mixed, consistency, single occasion",
        (between - error) / (between + (k - 1) * error),
        single(twoWay),
        twoWay,
      ),
      "ICC(1,k)": form(
        "ICC(1,k)",
        `one-way random, mean of ${k} occasions`,
        (between - within) / between,
        average(oneWay),
        oneWay,
      ),
      "ICC(2,k)": form(
        "ICC(2,k)",
        `two-way random, absolute agreement, mean of ${k} occasions`,
        (between - error) / (between + (occasions - error) / n),
        { lower: stepUp(agreementEnds.lower), upper: stepUp(agreementEnds.upper), level },
        twoWay,
      ),
      "ICC(3,k)": form(
        "ICC(3,k)",
        `two-way mixed, consistency, mean of ${k} occasions`,
        (between - error) / between,
        average(twoWay),
        twoWay,
      ),
    },
    meanSquares,
    n,
    occasions: k,
    missing,
  };
}

interface Ratio {
  readonly f: number;
  readonly df: readonly [number, number];
  readonly low: number;
  readonly high: number;
}

function ratioTest(f: number, df: readonly [number, number], outside: number): Ratio {
  return {
    f,
    df,
    low: f / fQuantile(outside, df[0], df[1], true),
    high: f * fQuantile(outside, df[1], df[0], true),
  };
}

/** Interval of the absolute-agreement form by Satterthwaite's approximation (McGraw & Wong 1996, table 7). */
function agreementInterval(
  { between, occasions, error }: TwoWayMeanSquares,
  agreement: number,
  n: number,
  k: number,
  outside: number,
): { lower: number; upper: number } {
  const ratio = occasions / error;
  const inner = n * (1 + (k - 1) * agreement) - k * agreement;
  const df =
    ((k - 1) * (n - 1) * square(k * agreement * ratio + inner)) /
    ((n - 1) * k * k * agreement * agreement * ratio * ratio + inner * inner);
  const upperF = fQuantile(outside, n - 1, df, true);
  const lowerF = fQuantile(outside, df, n - 1, true);
  const spread = k * occasions + (k * n - k - n) * error;
  return {
    lower: (n * (between - upperF * error)) / (upperF * spread + n * between),
    upper: (n * (lowerF * between - error)) / (spread + n * lowerF * between),
  };
}
