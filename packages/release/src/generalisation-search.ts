import { type BodyChoice, bodyColumns, bodyLevels, coarsen, groupOf, levelOf } from "./body-columns";
import type { DisclosureRule } from "./disclosure-rule";
import { countOf } from "./privacy-measures";
import type { VolunteerToRelease } from "./release-input";

export interface Generalisation {
  readonly choice: BodyChoice;
  /** Volunteers whose group is smaller than k, by key, in the order given. */
  readonly leftOut: readonly string[];
  /** Mean loss per body cell, a volunteer who is left out counting `costOfLeavingOut`. */
  readonly loss: number;
}

/** Loss of a choice of levels for volunteers who stay: the weighted mean over the columns, from 0 to 1. */
function lossOfChoice(choice: BodyChoice, rule: DisclosureRule): number {
  let sum = 0;
  let weights = 0;
  for (const column of bodyColumns) {
    sum += rule.weights[column] * levelOf(column, choice[column]).loss;
    weights += rule.weights[column];
  }
  return sum / weights;
}

/** Every choice of one level per column: the lattice. */
function allChoices(): BodyChoice[] {
  let choices: Record<string, number>[] = [{}];
  for (const column of bodyColumns) {
    choices = choices.flatMap((choice) =>
      bodyLevels[column].map((_, level) => ({ ...choice, [column]: level })),
    );
  }
  return choices.map((choice) => ({
    sex: choice.sex ?? 0,
    age: choice.age ?? 0,
    height: choice.height ?? 0,
    mass: choice.mass ?? 0,
  }));
}

/** What one choice would cost; null when it would leave out more volunteers than allowed. */
function evaluateChoice(
  volunteers: readonly VolunteerToRelease[],
  choice: BodyChoice,
  rule: DisclosureRule,
  mostLeftOut: number,
): Generalisation | null {
  const groups = volunteers.map((volunteer) => groupOf(coarsen(volunteer, choice)));
  const sizes = countOf(groups);
  const leftOut: string[] = [];
  for (const [index, volunteer] of volunteers.entries()) {
    const size = sizes.get(groups[index] ?? "") ?? 0;
    if (size < rule.k) leftOut.push(volunteer.key);
  }
  if (leftOut.length > mostLeftOut) return null;
  const share = leftOut.length / volunteers.length;
  return {
    choice,
    leftOut,
    loss: (1 - share) * lossOfChoice(choice, rule) + share * rule.costOfLeavingOut,
  };
}

/**
 * The least lossy choice in which every released volunteer shares all body columns with at least k - 1 others.
 *
 * Choices are taken by rising loss. Leaving somebody out only ever adds to a choice's loss (its cost is at least 1,
 * the loss of the blankest choice), so the search ends at the first choice whose bare loss exceeds the best total
 * found. Of equal totals the one that leaves out fewer volunteers wins, then the one that is finer in the earlier
 * column, so that the answer is one and the same on every machine.
 *
 * @returns null only when there are fewer than k volunteers
 */
export function leastLossyGeneralisation(
  volunteers: readonly VolunteerToRelease[],
  rule: DisclosureRule,
  mostLeftOut: number,
): Generalisation | null {
  if (volunteers.length < rule.k) return null;
  const byLoss = allChoices()
    .map((choice, position) => ({ choice, position, loss: lossOfChoice(choice, rule) }))
    .sort((a, b) => a.loss - b.loss || a.position - b.position);
  let best: Generalisation | null = null;
  for (const { choice, loss } of byLoss) {
    if (best !== null && loss > best.loss) break;
    const candidate = evaluateChoice(volunteers, choice, rule, mostLeftOut);
    if (candidate === null) continue;
    if (best === null || isBetter(candidate, best)) best = candidate;
  }
  return best;
}

function isBetter(candidate: Generalisation, best: Generalisation): boolean {
  if (candidate.loss !== best.loss) return candidate.loss < best.loss;
  return candidate.leftOut.length < best.leftOut.length;
}
