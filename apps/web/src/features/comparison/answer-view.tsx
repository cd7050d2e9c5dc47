"use client";

import { CourseFigure } from "@/charts/course-figure";
import { DifferencesFigure, PairedFigure } from "@/charts/paired-figure";
import { seriesSign } from "@/charts/series-sign";
import { KeyValueList } from "@/components/key-value-list";
import { formatNumber, Quantity } from "@/components/quantity";
import { SectionHeading } from "@/components/section-heading";
import classes from "./comparison.module.css";
import { MissingTrials } from "./missing-trials";
import { regionLabel } from "./outcome-label";
import { formatP, resultSentence } from "./result-sentence";
import type { Answer, Settings } from "./settings";

interface AnswerViewProps {
  readonly answer: Answer;
  readonly settings: Settings;
}

/** The answer in one sentence, then figures, then the numbers and who is missing. */
export function AnswerView({ answer, settings }: AnswerViewProps) {
  const { course, pairs, test, effect, unit } = answer;
  const [reference, other] = course.conditions;
  const digits = unit === "°C/s" ? 4 : unit === "s" ? 0 : 2;
  const region = regionLabel(settings.outcome.regionId);
  const percent = `${formatNumber(settings.level * 100, Number.isInteger(settings.level * 100) ? 0 : 1)} %`;
  const quantity = `${region}, ${settings.outcome.measure}`;
  const change = settings.course === "change from baseline";
  const drawn = pairs.map(({ code, first, second }) => ({ code, first, second }));
  const conditions = [
    { label: reference.name, sign: seriesSign(0) },
    { label: other.name, sign: seriesSign(1) },
  ] as const;
  const fileName = `${region}-${settings.outcome.measure}`.toLowerCase().replace(/[^a-z0-9]+/g, "-");

  return (
    <>
      <SectionHeading>Answer</SectionHeading>
      <p className={classes.sentence}>{resultSentence(answer, settings, digits)}</p>
      {course.timesS.length > 0 && (
        <CourseFigure
          title={`Mean course: ${region}`}
          description={`Mean ${change ? "change from baseline" : "temperature"} of ${region} over time, with the ${percent} band of each bin, for ${reference.name} (${reference.volunteers} volunteers) and ${other.name} (${other.volunteers} volunteers).`}
          fileName={`course-${fileName}`}
          quantity={change ? "Change from baseline" : "Skin temperature"}
          unit={course.unit}
          timeLabel="Time from start of exercise"
          phases={course.phases.map(({ name, startS, endS }) => ({ label: name, startS, endS }))}
          series={course.conditions.map((condition, index) => ({
            id: condition.key,
            label: `${condition.name} (n = ${condition.volunteers})`,
            sign: seriesSign(index),
            timesS: course.timesS,
            values: condition.mean,
            low: condition.lower,
            high: condition.upper,
          }))}
          note={`Bins of ${course.binS} s. A volunteer counts once: first the mean over the volunteer's trials, then the mean over volunteers. The band holds each bin with ${percent}, not the whole course at once.`}
          {...(change ? { reference: 0 } : {})}
        />
      )}
      {pairs.length > 0 && (
        <div className={classes.figures}>
          <PairedFigure
            title="Both conditions, volunteer by volunteer"
            description={`${quantity} of ${pairs.length} volunteers in ${reference.name} and in ${other.name}; one line per volunteer.`}
            fileName={`pairs-${fileName}`}
            conditions={conditions}
            pairs={drawn}
            quantity={quantity}
            unit={unit}
            digits={digits}
          />
          <DifferencesFigure
            title="Difference per volunteer"
            description={`${other.name} minus ${reference.name} of ${pairs.length} volunteers${test === null ? "" : `; mean ${formatNumber(test.estimate, digits, true)} ${unit}`}.`}
            fileName={`differences-${fileName}`}
            conditions={conditions}
            pairs={drawn}
            unit={unit}
            digits={digits}
            {...(test === null
              ? {}
              : { mean: { value: test.estimate, low: test.interval.lower, high: test.interval.upper } })}
          />
        </div>
      )}
      <SectionHeading level={3}>Test</SectionHeading>
      {test === null ? (
        <p className={classes.sentence}>No test: {answer.testUnavailable}</p>
      ) : (
        <KeyValueList
          columns={2}
          items={[
            { label: "Method", value: test.method },
            { label: "n", value: `${test.n} volunteers`, note: "With a value in both conditions." },
            {
              label: `Mean, ${reference.name}`,
              value: <Quantity value={test.means[0]} unit={unit} digits={digits} />,
            },
            {
              label: `Mean, ${other.name}`,
              value: <Quantity value={test.means[1]} unit={unit} digits={digits} />,
            },
            {
              label: "Mean difference",
              value: (
                <Quantity
                  value={test.estimate}
                  unit={unit}
                  digits={digits}
                  signed
                  interval={[test.interval.lower, test.interval.upper]}
                />
              ),
              note: `${other.name} minus ${reference.name}, with its ${percent} interval.`,
            },
            {
              label: "t",
              value: `${formatNumber(test.statistic, 3)} (${test.degreesOfFreedom} degrees of freedom)`,
            },
            { label: "p, two-sided", value: formatP(test.p) },
            ...(effect === null
              ? []
              : [
                  {
                    label: "Effect size dz",
                    value: (
                      <Quantity
                        value={effect.estimate}
                        digits={2}
                        signed
                        interval={[effect.interval.lower, effect.interval.upper]}
                      />
                    ),
                    note: effect.method,
                  },
                ]),
          ]}
        />
      )}
      <MissingTrials answer={answer} />
    </>
  );
}
