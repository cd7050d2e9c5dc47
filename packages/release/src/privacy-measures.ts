import { ReleaseInputError } from "./errors";

/** One row of a table: the group of rows that share its quasi-identifiers, and its answer to a sensitive question. */
export interface GroupedAnswer {
  readonly group: string;
  readonly answer: string;
}

/**
 * k-anonymity: the size of the smallest group of rows with the same quasi-identifiers.
 *
 * L. Sweeney, "k-anonymity: a model for protecting privacy", International Journal of Uncertainty, Fuzziness and
 * Knowledge-Based Systems 10 (2002) 557-570.
 *
 * @param groups the group of each row
 */
export function kAnonymity(groups: readonly string[]): number {
  const sizes = countOf(groups);
  if (sizes.size === 0) throw new ReleaseInputError("groups", "an empty table has no k");
  return Math.min(...sizes.values());
}

/**
 * l-diversity over all groups, in two forms: the smallest number of distinct answers in a group, and the smallest
 * exp(entropy) of the answers in a group (the effective number of equally frequent answers).
 *
 * A. Machanavajjhala, D. Kifer, J. Gehrke, M. Venkitasubramaniam, "l-diversity: privacy beyond k-anonymity", ACM
 * Transactions on Knowledge Discovery from Data 1 (2007) article 3.
 */
export function lDiversity(rows: readonly GroupedAnswer[]): { distinct: number; entropy: number } {
  let distinct = Number.POSITIVE_INFINITY;
  let entropy = Number.POSITIVE_INFINITY;
  for (const answers of answersByGroup(rows).values()) {
    const counts = countOf(answers);
    distinct = Math.min(distinct, counts.size);
    let sum = 0;
    for (const count of counts.values()) sum -= (count / answers.length) * Math.log(count / answers.length);
    entropy = Math.min(entropy, Math.exp(sum));
  }
  return { distinct, entropy };
}

/** How far apart two answers are: all equally far, or by their rank in an order. */
export type AnswerDistance =
  | { readonly kind: "equal" }
  | { readonly kind: "ordered"; readonly order: readonly string[] };

/**
 * t-closeness: the greatest earth mover's distance, over the groups, between the answers of the group and those of
 * the whole table; 0 (every group looks like the table) to 1.
 *
 * N. Li, T. Li, S. Venkatasubramanian, "t-closeness: privacy beyond k-anonymity and l-diversity", Proceedings of the
 * 23rd International Conference on Data Engineering (2007) 106-115.
 */
export function tCloseness(rows: readonly GroupedAnswer[], distance: AnswerDistance): number {
  const all = rows.map((row) => row.answer);
  const order = distance.kind === "ordered" ? distance.order : [...new Set(all)];
  const overall = sharesOf(all, order);
  let greatest = 0;
  for (const answers of answersByGroup(rows).values()) {
    greatest = Math.max(greatest, earthMoversDistance(sharesOf(answers, order), overall, distance.kind));
  }
  return greatest;
}

/**
 * Earth mover's distance of two distributions over the same answers. Ordered: sum of |cumulated differences| /
 * (m - 1). Equal: half the sum of |differences|. (Li, Li and Venkatasubramanian 2007, section 3.)
 */
export function earthMoversDistance(
  p: readonly number[],
  q: readonly number[],
  kind: AnswerDistance["kind"],
): number {
  if (p.length !== q.length || p.length === 0) {
    throw new ReleaseInputError("q", "must have as many shares as p, at least one");
  }
  let cumulated = 0;
  let sum = 0;
  for (const [index, share] of p.entries()) {
    const difference = share - (q[index] ?? 0);
    cumulated += difference;
    sum += Math.abs(kind === "ordered" ? cumulated : difference);
  }
  if (kind === "equal") return sum / 2;
  return p.length === 1 ? 0 : sum / (p.length - 1);
}

function answersByGroup(rows: readonly GroupedAnswer[]): Map<string, string[]> {
  if (rows.length === 0) throw new ReleaseInputError("rows", "an empty table has no groups");
  const groups = new Map<string, string[]>();
  for (const { group, answer } of rows) {
    const answers = groups.get(group);
    if (answers) answers.push(answer);
    else groups.set(group, [answer]);
  }
  return groups;
}

function sharesOf(answers: readonly string[], order: readonly string[]): number[] {
  const counts = countOf(answers);
  for (const answer of counts.keys()) {
    if (!order.includes(answer)) throw new ReleaseInputError("order", "leaves out an answer that occurs");
  }
  return order.map((answer) => (counts.get(answer) ?? 0) / answers.length);
}

/** How often each value occurs. */
export function countOf(values: readonly string[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return counts;
}
