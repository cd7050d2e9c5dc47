"use client";

import stackedTable from "@/components/stacked-table.module.css";
import { TextLink } from "@/components/text-link";
import { useStudy } from "@/features/study/study-context";
import classes from "./methods.module.css";
import { completeSentence, lacksText, type Methods } from "./methods-text";

interface PartProps {
  readonly methods: Methods;
}

/** Item by item over all trials. */
export function CompletenessTable({ methods }: PartProps) {
  const table = `${classes.table} ${stackedTable.stacked}`;
  return (
    <table className={table} aria-label="Reporting items">
      <thead>
        <tr>
          <th scope="col">Item</th>
          <th scope="col" data-align="right">
            Recorded
          </th>
          <th scope="col" data-align="right">
            Missing
          </th>
          <th scope="col" data-align="right">
            Not applicable
          </th>
          <th scope="col">What is missing</th>
        </tr>
      </thead>
      <tbody>
        {methods.items.map(({ key, number, name, asks, recorded, missing, notApplicable, lacks }) => (
          <tr key={key}>
            <th scope="row" data-whole-line>
              {number === null ? "" : `${number}. `}
              {name}
              <span className={classes.asks}>{asks}</span>
            </th>
            <td data-align="right" data-label="Recorded">
              {recorded}
            </td>
            <td data-align="right" data-label="Missing">
              {missing === 0 ? 0 : <strong>{missing}</strong>}
            </td>
            <td data-align="right" data-label="Not applicable">
              {notApplicable}
            </td>
            <td data-label={lacks.length === 0 ? undefined : "What is missing"}>{lacksText(lacks)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** The trials that lack something of their own, and how many do not. */
export function IncompleteTrials({ methods }: PartProps) {
  const { studyId } = useStudy();
  const { missingEverywhere, lacking, countedItems } = methods;
  const beside = missingEverywhere.length === 0 ? "" : " beside that";
  const table = `${classes.table} ${stackedTable.stacked}`;
  return (
    <div className={classes.trials}>
      {missingEverywhere.length > 0 && (
        <p>
          Missing in every trial: <strong>{missingEverywhere.map(({ name }) => name).join(", ")}</strong>.
        </p>
      )}
      <p>{completeSentence(methods)}</p>
      {lacking.length > 0 && (
        <table className={table} aria-label="Trials that lack something">
          <thead>
            <tr>
              <th scope="col">Trial</th>
              <th scope="col" data-align="right">
                Recorded
              </th>
              <th scope="col">Missing{beside}</th>
            </tr>
          </thead>
          <tbody>
            {lacking.map(({ trialId, label, recorded, missing }) => (
              <tr key={trialId}>
                <th scope="row" data-whole-line>
                  <TextLink href={`/studies/${studyId}/trials/${trialId}`}>{label}</TextLink>
                </th>
                <td data-align="right" data-label="Recorded">
                  {recorded} of {countedItems}
                </td>
                <td data-label="Missing">{missing.map(({ name }) => name).join(", ")}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </div>
  );
}
