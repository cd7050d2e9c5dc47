"use client";

import { SectionHeading } from "@/components/section-heading";
import { TextLink } from "@/components/text-link";
import { useStudy } from "@/features/study/study-context";
import classes from "./comparison.module.css";
import type { Answer } from "./settings";

/** Every trial that the question expects and the answer does not use, with its reason. */
export function MissingTrials({ answer }: { readonly answer: Answer }) {
  const { studyId } = useStudy();
  const { missing, expectedTrials, usedTrials } = answer;
  return (
    <div className={classes.answer}>
      <SectionHeading
        level={3}
        explanation={`${usedTrials} of ${expectedTrials} expected trials are used; ${missing.length} ${missing.length === 1 ? "is" : "are"} missing.`}
      >
        Missing trials
      </SectionHeading>
      {missing.length > 0 && (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard
        <section className={classes.scroll} tabIndex={0} aria-label="Missing trials">
          <table className={classes.missing}>
            <thead>
              <tr>
                <th scope="col">Volunteer</th>
                <th scope="col">Condition</th>
                <th scope="col">Occasion</th>
                <th scope="col">Reason</th>
              </tr>
            </thead>
            <tbody>
              {missing.map(
                ({ code, volunteerId, trialId, conditionKey, conditionName, occasion, reason }) => (
                  <tr key={`${volunteerId} ${conditionKey} ${occasion}`}>
                    <th scope="row">
                      <TextLink
                        quiet
                        href={
                          trialId === null
                            ? `/studies/${studyId}/volunteers/${volunteerId}`
                            : `/studies/${studyId}/trials/${trialId}`
                        }
                      >
                        {code}
                      </TextLink>
                    </th>
                    <td>{conditionName}</td>
                    <td>{occasion}</td>
                    <td>{reason}</td>
                  </tr>
                ),
              )}
            </tbody>
          </table>
        </section>
      )}
    </div>
  );
}
