import { AnalysisError } from "../../analysis-error";
import { usableRows } from "../model/design";
import type { MixedModelInput } from "./mixed-model";

/** The complete rows, the volunteers in them in order of appearance, and whose each row is. */
export function volunteerRows(input: MixedModelInput) {
  const { volunteers, outcome } = input;
  const names = [...new Set([...input.terms.flat(), ...(input.randomSlope ? [input.randomSlope] : [])])];
  if (volunteers.length !== outcome.length) {
    throw new AnalysisError(
      "unequal lengths",
      "mixedModel",
      "volunteers",
      `a volunteer for each outcome; there are ${volunteers.length} for ${outcome.length}`,
    );
  }
  const rows = usableRows(outcome, input.variables, names, "mixedModel").filter(
    (row) => volunteers[row] !== null,
  );
  const index = new Map<string, number>();
  const volunteerOf = Int32Array.from(rows, (row) => {
    const label = volunteers[row] as string;
    const known = index.get(label);
    if (known !== undefined) return known;
    index.set(label, index.size);
    return index.size - 1;
  });
  if (index.size < 2) {
    throw new AnalysisError(
      "too few",
      "mixedModel",
      "volunteers",
      `at least two volunteers, not ${index.size}`,
    );
  }
  if (index.size === rows.length) {
    throw new AnalysisError("too few", "mixedModel", "volunteers", "a volunteer with more than one row");
  }
  return { rows, labels: [...index.keys()], volunteerOf };
}

/** The values of the covariate whose slope varies between volunteers. */
export function slopeColumn(input: MixedModelInput, rows: readonly number[], name: string): Float64Array {
  const variable = input.variables[name];
  const values = Float64Array.from(rows, (row) => {
    const value = variable?.[row];
    if (typeof value === "number" && Number.isFinite(value)) return value;
    throw new AnalysisError("refused", "mixedModel", "randomSlope", `finite numbers in ${name}`);
  });
  if (values.every((value) => value === values[0])) {
    throw new AnalysisError("constant", "mixedModel", "randomSlope", `values of ${name} that vary`);
  }
  return values;
}
