import { AnalysisError } from "../../analysis-error";

/** A variable of a model: numbers (a covariate, NaN for missing) or words (a factor, null for missing). */
export type Variable = ArrayLike<number> | readonly (string | null)[];

/** A main effect, or an interaction as the list of its variables. */
export type Term = string | readonly string[];

export interface DesignInput {
  readonly variables: Readonly<Record<string, Variable>>;
  readonly terms: readonly Term[];
  /** Order of the levels of a factor, the first being the reference; alphabetical unless given. */
  readonly levels?: Readonly<Record<string, readonly string[]>>;
}

export interface Design {
  readonly names: readonly string[];
  readonly columns: readonly Float64Array[];
  /** For each column the index of its term; -1 for the intercept. */
  readonly termOf: readonly number[];
  readonly terms: readonly (readonly string[])[];
  readonly factors: ReadonlyMap<string, readonly string[]>;
  readonly covariateMeans: ReadonlyMap<string, number>;
  /** Row of the design for values of the variables. */
  readonly rowAt: (values: Readonly<Record<string, number | string>>) => Float64Array;
}

type Part = (values: Readonly<Record<string, number | string>>) => number;

/** Rows of a variable that are missing. */
export function isMissing(variable: Variable, i: number): boolean {
  const value = variable[i];
  return value === null || value === undefined || (typeof value === "number" && Number.isNaN(value));
}

/**
 * Design matrix with an intercept, factors as differences from their first level (treatment contrasts), interactions as
 * products. An interaction needs the main effects of its variables beside it.
 * @param rows which rows of the variables to use, all without missing values
 */
export function buildDesign(input: DesignInput, rows: readonly number[], functionName: string): Design {
  const terms = input.terms.map((term) => (typeof term === "string" ? [term] : [...term]));
  checkTerms(terms, input, functionName);
  const factors = new Map<string, readonly string[]>();
  const covariateMeans = new Map<string, number>();
  for (const name of new Set(terms.flat())) {
    const variable = input.variables[name] as Variable;
    if (isFactor(variable, rows)) {
      factors.set(name, levelsOf(name, variable, rows, input.levels?.[name], functionName));
    } else {
      const numbers = rows.map((row) => variable[row] as number);
      const infinite = numbers.find((value) => !Number.isFinite(value));
      if (infinite !== undefined) {
        throw new AnalysisError(
          "not finite",
          functionName,
          name,
          `finite values in ${name}, not ${infinite}`,
        );
      }
      covariateMeans.set(name, numbers.reduce((total, value) => total + value, 0) / numbers.length);
    }
  }
  const columns: { name: string; term: number; at: Part }[] = [{ name: "intercept", term: -1, at: () => 1 }];
  terms.forEach((term, index) => {
    let parts: { name: string; at: Part }[] = [{ name: "", at: () => 1 }];
    for (const variable of term) {
      const own = partsOf(variable, factors.get(variable), functionName);
      parts = own.flatMap((second) =>
        parts.map((first) => ({
          name: first.name === "" ? second.name : `${first.name} × ${second.name}`,
          at: (values) => first.at(values) * second.at(values),
        })),
      );
    }
    for (const part of parts) columns.push({ ...part, term: index });
  });
  const rowAt = (values: Readonly<Record<string, number | string>>) =>
    Float64Array.from(columns, (column) => column.at(values));
  const base = new Map<string, Float64Array[]>();
  for (const name of new Set(terms.flat())) {
    const variable = input.variables[name] as Variable;
    const levels = factors.get(name);
    base.set(
      name,
      levels === undefined
        ? [Float64Array.from(rows, (row) => variable[row] as number)]
        : levels.slice(1).map((level) => Float64Array.from(rows, (row) => (variable[row] === level ? 1 : 0))),
    );
  }
  const matrix = [new Float64Array(rows.length).fill(1)];
  for (const term of terms) {
    let products: Float64Array[] | null = null;
    for (const variable of term) {
      const own = base.get(variable) as Float64Array[];
      products =
        products === null
          ? own
          : own.flatMap((second) => (products as Float64Array[]).map((first) => timesEach(first, second)));
    }
    for (const product of products ?? []) matrix.push(product as Float64Array<ArrayBuffer>);
  }
  return {
    names: columns.map((column) => column.name),
    columns: matrix,
    termOf: columns.map((column) => column.term),
    terms,
    factors,
    covariateMeans,
    rowAt,
  };
}

function timesEach(first: Float64Array, second: Float64Array): Float64Array {
  return first.map((value, i) => value * (second[i] as number));
}

function partsOf(variable: string, levels: readonly string[] | undefined, functionName: string) {
  if (levels === undefined) return [{ name: variable, at: ((values) => values[variable] as number) as Part }];
  const known = new Set(levels);
  return levels.slice(1).map((level) => ({
    name: `${variable}: ${level}`,
    at: ((values) => {
      const value = values[variable];
      if (typeof value !== "string" || !known.has(value)) {
        throw new AnalysisError("unknown", functionName, variable, `a level of ${variable}, not ${value}`);
      }
      return value === level ? 1 : 0;
    }) as Part,
  }));
}

function checkTerms(terms: readonly string[][], input: DesignInput, functionName: string): void {
  const keys = terms.map((term) => [...term].sort().join("\u0000"));
  keys.forEach((key, i) => {
    if (keys.indexOf(key) !== i) {
      throw new AnalysisError(
        "refused",
        functionName,
        "terms",
        `each term once; ${terms[i]?.join(" × ")} is there twice`,
      );
    }
  });
  for (const term of terms) {
    for (const name of term) {
      if (!Object.hasOwn(input.variables, name)) {
        throw new AnalysisError(
          "unknown",
          functionName,
          "terms",
          `terms made of the variables given; ${name} is not one`,
        );
      }
      if (term.length > 1 && !terms.some((other) => other.length === 1 && other[0] === name)) {
        throw new AnalysisError(
          "missing",
          functionName,
          "terms",
          `the main effect of ${name} beside its interaction`,
        );
      }
    }
  }
}

function isFactor(variable: Variable, rows: readonly number[]): variable is readonly (string | null)[] {
  return rows.length > 0 && typeof variable[rows[0] as number] === "string";
}

function levelsOf(
  name: string,
  variable: readonly (string | null)[],
  rows: readonly number[],
  given: readonly string[] | undefined,
  functionName: string,
): readonly string[] {
  const present = new Set(rows.map((row) => variable[row] as string));
  const stray = given ? [...present].find((level) => !given.includes(level)) : undefined;
  if (stray !== undefined) {
    throw new AnalysisError(
      "unknown",
      functionName,
      "levels",
      `every level of ${name} in levels; ${stray} is not there`,
    );
  }
  const levels = given
    ? given.filter((level) => present.has(level))
    : [...present].sort((a, b) => (a < b ? -1 : a > b ? 1 : 0));
  if (levels.length < 2) {
    throw new AnalysisError("constant", functionName, name, `at least two levels of ${name}`);
  }
  return levels;
}

/** Rows in which neither the outcome nor any variable of the model is missing. */
export function usableRows(
  outcome: ArrayLike<number>,
  variables: Readonly<Record<string, Variable>>,
  names: readonly string[],
  functionName: string,
): number[] {
  for (const name of names) {
    const variable = variables[name];
    if (variable === undefined) {
      throw new AnalysisError(
        "unknown",
        functionName,
        "terms",
        `terms made of the variables given; ${name} is not one`,
      );
    }
    if (variable.length !== outcome.length) {
      throw new AnalysisError(
        "unequal lengths",
        functionName,
        name,
        `${name} as long as outcome, not ${variable.length} to ${outcome.length}`,
      );
    }
  }
  const rows: number[] = [];
  for (let i = 0; i < outcome.length; i++) {
    const value = outcome[i] as number;
    if (value === Number.POSITIVE_INFINITY || value === Number.NEGATIVE_INFINITY) {
      throw new AnalysisError(
        "not finite",
        functionName,
        "outcome",
        `finite values or NaN; entry ${i} is ${value}`,
      );
    }
    if (Number.isNaN(value)) continue;
    if (names.every((name) => !isMissing(variables[name] as Variable, i))) rows.push(i);
  }
  return rows;
}
