import { formatNumber } from "@/components/quantity";
import { regionLabel } from "./outcome-label";
import type { Answer, Settings } from "./settings";

/** As journals print it: three decimals, and below that only that it is smaller. */
export function formatP(p: number): string {
  return p < 0.001 ? "< 0.001" : p.toFixed(3);
}

/** One sentence that says no more than the test: it never turns a large p into "no effect". */
export function resultSentence(answer: Answer, settings: Settings, digits: number): string {
  const { test, unit, pairs } = answer;
  const [reference, other] = answer.course.conditions;
  const what = `${regionLabel(settings.outcome.regionId)}, ${settings.outcome.measure}`;
  if (test === null) {
    return `${pairs.length} ${pairs.length === 1 ? "volunteer has" : "volunteers have"} a value in both conditions. ${answer.testUnavailable ?? ""}`;
  }
  const number = (value: number) => formatNumber(value, digits, true);
  const interval = `${number(test.interval.lower)} to ${number(test.interval.upper)} ${unit}`;
  const excludesZero = test.interval.lower > 0 || test.interval.upper < 0;
  const reading = excludesZero
    ? "The interval does not contain zero."
    : "The interval contains zero: these data do not tell in which direction the conditions differ, or whether they do.";
  return `${what}: ${other.name} minus ${reference.name} was ${number(test.estimate)} ${unit} on average (${formatNumber(test.interval.level * 100, 0)} % interval ${interval}; n = ${test.n}). ${reading}`;
}
