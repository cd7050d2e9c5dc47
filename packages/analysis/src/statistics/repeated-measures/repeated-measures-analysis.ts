import { AnalysisError } from "../../analysis-error";
import { square } from "../../elementary";
import { fUpperTail } from "../distributions/f";
import { completeRows } from "../numeric/complete-rows";
import { constant, effectContrasts } from "./contrasts";
import { type Sphericity, sphericityOf } from "./sphericity";

export interface WithinFactor {
  readonly name: string;
  /** How many levels it has. */
  readonly levels: number;
}

export interface RepeatedMeasuresInput {
  /** One row per volunteer, one column per cell, the last within factor varying fastest. A row with NaN is left out. */
  readonly rows: readonly ArrayLike<number>[];
  readonly within: readonly WithinFactor[];
  /** A grouping of the volunteers, one entry per row. */
  readonly between?: { readonly name: string; readonly groups: readonly string[] };
  /**
   * How the within effects weight groups of unequal size: equally (III, unless given) or by their number of volunteers (II).
   */
  readonly typeOfSquares?: "II" | "III";
}

export interface RepeatedMeasuresEffect {
  readonly name: string;
  readonly statistic: number;
  readonly degreesOfFreedom: readonly [number, number];
  readonly p: number;
  readonly sumOfSquares: number;
  readonly errorSumOfSquares: number;
  /** Null where the effect has one degree of freedom within volunteers, or none: there is nothing to correct. */
  readonly sphericity: Sphericity | null;
  /** p with the degrees of freedom multiplied by an epsilon, itself cut off at 1; null where there is no `sphericity`. */
  readonly correctedP: {
    readonly greenhouseGeisser: number;
    readonly huynhFeldt: number;
    readonly lowerBound: number;
  } | null;
  readonly partialEtaSquared: number;
  /** Olejnik & Algina 2003 (Psychological Methods 8:434-447), every factor counted as manipulated. */
  readonly generalisedEtaSquared: number;
}

export interface RepeatedMeasuresResult {
  readonly method: string;
  readonly effects: readonly RepeatedMeasuresEffect[];
  readonly cellMeans: readonly number[];
  readonly n: number;
  readonly missing: number;
}

/**
 * Analysis of variance with one or more within factors, and one between factor or none (mixed design), by orthonormal
 * contrasts of the cells. Checks sphericity (Mauchly) and corrects for its lack (Greenhouse-Geisser, Huynh-Feldt).
 * @throws AnalysisError `too few` (volunteers, levels, volunteers beyond groups), `unequal lengths`, `constant` when an
 * error term vanishes, `not finite`.
 */
export function repeatedMeasuresAnalysis(input: RepeatedMeasuresInput): RepeatedMeasuresResult {
  const { within, between, typeOfSquares = "III" } = input;
  checkInput(input);
  const cells = within.reduce((product, factor) => product * factor.levels, 1);
  const { complete, indices, missing, columns } = completeRows(
    input.rows,
    "rows",
    "repeatedMeasuresAnalysis",
    2,
    2,
  );
  if (columns !== cells) {
    throw new AnalysisError(
      "unequal lengths",
      "repeatedMeasuresAnalysis",
      "rows",
      `a column for each of the ${cells} cells, not ${columns}`,
    );
  }
  const groups = between ? indices.map((i) => between.groups[i] as string) : indices.map(() => "");
  const layout = groupLayout(groups, complete.length);
  // Deviations from the first value: contrasts do not see a common offset, and it would cost digits.
  const origin = complete[0]?.[0] ?? 0;
  const y = complete.map((row) => row.map((value) => value - origin));
  const strata = [
    { name: "", columns: [constant(cells)] },
    ...effectContrasts(within).map(({ factors, columns }) => ({ name: factors.join(" × "), columns })),
  ].map((stratum) => ({ ...stratum, parts: partition(y, stratum.columns, layout, typeOfSquares) }));
  const allErrors = strata.reduce((total, { parts }) => total + parts.error, 0);
  const effects = strata.flatMap(({ name, columns, parts }): RepeatedMeasuresEffect[] => {
    const d = columns.length;
    const errorDf = d * parts.df;
    const sphericity = d > 1 ? sphericityOf(parts.cross, d, parts.df) : null;
    const effect = (label: string, squares: number, df: number) =>
      effectOf(label, squares, df, parts.error, errorDf, allErrors, sphericity);
    const found: RepeatedMeasuresEffect[] = [];
    if (name !== "") found.push(effect(name, parts.within, d));
    if (between && layout.sizes.length > 1) {
      const label = name === "" ? between.name : `${between.name} × ${name}`;
      found.push(effect(label, parts.between, d * (layout.sizes.length - 1)));
    }
    return found;
  });
  return {
    method: `repeated-measures analysis of variance${between ? `, mixed design, type ${typeOfSquares} sums of squares` : ""}`,
    effects,
    cellMeans: Array.from(
      { length: cells },
      (_, cell) => origin + y.reduce((total, row) => total + (row[cell] as number), 0) / y.length,
    ),
    n: complete.length,
    missing,
  };
}

interface Layout {
  readonly groupOf: readonly number[];
  readonly sizes: readonly number[];
}

function groupLayout(groups: readonly string[], n: number): Layout {
  const names = [...new Set(groups)];
  const groupOf = groups.map((group) => names.indexOf(group));
  const sizes = names.map((_, g) => groupOf.filter((other) => other === g).length);
  if (n - sizes.length < 1) {
    throw new AnalysisError("too few", "repeatedMeasuresAnalysis", "rows", "more volunteers than groups");
  }
  return { groupOf, sizes };
}

interface Partition {
  readonly within: number;
  readonly between: number;
  readonly error: number;
  readonly cross: Float64Array;
  readonly df: number;
}

/** Sums of squares of the contrasts: their mean, the groups' departures from it, and the residuals. */
function partition(
  y: readonly Float64Array[],
  columns: readonly Float64Array[],
  { groupOf, sizes }: Layout,
  typeOfSquares: "II" | "III",
): Partition {
  const d = columns.length;
  const g = sizes.length;
  const n = y.length;
  const scores = y.map((row) =>
    columns.map((column) => column.reduce((total, c, i) => total + c * (row[i] as number), 0)),
  );
  const groupMeans = sizes.map(() => new Float64Array(d));
  scores.forEach((score, i) => {
    const group = groupOf[i] as number;
    const mean = groupMeans[group] as Float64Array;
    score.forEach((value, j) => {
      mean[j] = (mean[j] as number) + value / (sizes[group] as number);
    });
  });
  const cross = new Float64Array(d * d);
  scores.forEach((score, i) => {
    const mean = groupMeans[groupOf[i] as number] as Float64Array;
    for (let a = 0; a < d; a++) {
      const left = (score[a] as number) - (mean[a] as number);
      for (let b = 0; b < d; b++) {
        cross[a * d + b] = (cross[a * d + b] as number) + left * ((score[b] as number) - (mean[b] as number));
      }
    }
  });
  let within = 0;
  let between = 0;
  let error = 0;
  for (let j = 0; j < d; j++) {
    const means = groupMeans.map((mean) => mean[j] as number);
    const weighted = means.reduce((total, mean, k) => total + mean * (sizes[k] as number), 0) / n;
    const unweighted = means.reduce((total, mean) => total + mean, 0) / g;
    const harmonic = sizes.reduce((total, size) => total + 1 / size, 0) / (g * g);
    within += typeOfSquares === "II" ? n * weighted * weighted : (unweighted * unweighted) / harmonic;
    between += means.reduce((total, mean, k) => total + (sizes[k] as number) * square(mean - weighted), 0);
    error += cross[j * d + j] as number;
  }
  return { within, between, error, cross, df: n - g };
}

function effectOf(
  name: string,
  squares: number,
  df: number,
  error: number,
  errorDf: number,
  allErrors: number,
  sphericity: Sphericity | null,
): RepeatedMeasuresEffect {
  if (!(error > 1e-20 * (squares + allErrors))) {
    throw new AnalysisError(
      "constant",
      "repeatedMeasuresAnalysis",
      "rows",
      `volunteers that differ in the effect of ${name}`,
    );
  }
  const statistic = squares / df / (error / errorDf);
  const corrected = (epsilon: number) => {
    const factor = Math.min(1, epsilon);
    return fUpperTail(statistic, factor * df, factor * errorDf);
  };
  return {
    name,
    statistic,
    degreesOfFreedom: [df, errorDf],
    p: fUpperTail(statistic, df, errorDf),
    sumOfSquares: squares,
    errorSumOfSquares: error,
    sphericity,
    correctedP: sphericity && {
      greenhouseGeisser: corrected(sphericity.greenhouseGeisser),
      huynhFeldt: corrected(sphericity.huynhFeldt),
      lowerBound: corrected(sphericity.lowerBound),
    },
    partialEtaSquared: squares / (squares + error),
    generalisedEtaSquared: squares / (squares + allErrors),
  };
}

function checkInput({ rows, within, between }: RepeatedMeasuresInput): void {
  if (within.length === 0) {
    throw new AnalysisError("empty", "repeatedMeasuresAnalysis", "within", "at least one within factor");
  }
  for (const { name, levels } of within) {
    if (!Number.isInteger(levels) || levels < 2) {
      throw new AnalysisError(
        "too few",
        "repeatedMeasuresAnalysis",
        "within",
        `at least two levels of ${name}`,
      );
    }
  }
  if (between && between.groups.length !== rows.length) {
    throw new AnalysisError(
      "unequal lengths",
      "repeatedMeasuresAnalysis",
      "between",
      `a group for each of the ${rows.length} rows, not ${between.groups.length}`,
    );
  }
}
