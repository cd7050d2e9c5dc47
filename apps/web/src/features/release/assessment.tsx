"use client";

import type { AppRouter } from "@acral/api";
import type { inferRouterOutputs } from "@trpc/server";
import { KeyValueList } from "@/components/key-value-list";
import { formatNumber } from "@/components/quantity";
import { SectionHeading } from "@/components/section-heading";
import { StateBadge } from "@/components/state-badge";
import classes from "./release.module.css";

type Report = inferRouterOutputs<AppRouter>["release"]["assess"];

/** What the release would show and hide, before a byte is written. */
export function Assessment({ report }: { readonly report: Report }) {
  const { after } = report;
  return (
    <div>
      {report.refusals.length > 0 ? (
        <div role="alert">
          <StateBadge shape="alert" tone="stop">
            This release cannot be made
          </StateBadge>
          <ul className={classes.list}>
            {report.refusals.map(({ place, problem }) => (
              <li key={`${place} ${problem}`}>
                {place}: {problem}
              </li>
            ))}
          </ul>
        </div>
      ) : (
        <StateBadge shape="tick" tone="accent">
          This release fulfils its rule
        </StateBadge>
      )}
      {report.warnings.length > 0 && (
        <ul className={classes.list}>
          {report.warnings.map((warning) => (
            <li key={warning}>{warning}</li>
          ))}
        </ul>
      )}
      <KeyValueList
        columns={2}
        items={[
          {
            label: "Volunteers",
            value: `${report.volunteers.released} of ${report.volunteers.offered} who permit it`,
          },
          { label: "Trials", value: `${report.trials.released} of ${report.trials.offered}` },
          {
            label: "Smallest group",
            value: after === null ? "–" : after.smallestGroup,
            note: `With exact body data it would be ${report.before.smallestGroup}, and ${report.before.uniqueVolunteers === 1 ? "1 volunteer" : `${report.before.uniqueVolunteers} volunteers`} would be unique.`,
          },
          {
            label: "Greatest risk",
            value: after === null ? "–" : `${formatNumber(after.greatestRisk * 100, 0)} %`,
            note: "Chance of picking the right row for somebody whose body data are known.",
          },
        ]}
      />
      {report.columns.length > 0 && (
        <KeyValueList
          columns={2}
          items={report.columns.map(({ column, words }) => ({
            label: `How ${column} goes out`,
            value: words,
          }))}
        />
      )}
      {report.groups.length > 0 && <Groups report={report} />}
      <PeopleLeftOut report={report} />
      {report.withheld.length > 0 && (
        <>
          <SectionHeading level={3}>Numbers that stay in the study</SectionHeading>
          <ul className={classes.list}>
            {report.withheld.map(({ what, name, unit, count, reason }) => (
              <li key={`${what} ${name} ${unit}`}>
                {name}, {unit} ({count}): {reason}
              </li>
            ))}
          </ul>
        </>
      )}
      <SectionHeading level={3}>What risk remains</SectionHeading>
      <ul className={classes.list}>
        {report.remainingRisks.map((risk) => (
          <li key={risk}>{risk}</li>
        ))}
      </ul>
    </div>
  );
}

function Groups({ report }: { readonly report: Report }) {
  return (
    <>
      <SectionHeading level={3} explanation="The rows of body data as they would go out.">
        Body data
      </SectionHeading>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable with the keyboard */}
      <section className={classes.scroll} tabIndex={0} aria-label="Body data as released">
        <table className={classes.table}>
          <thead>
            <tr>
              <th scope="col">Sex</th>
              <th scope="col">Age</th>
              <th scope="col">Height</th>
              <th scope="col">Mass</th>
              <th scope="col">Volunteers</th>
            </tr>
          </thead>
          <tbody>
            {report.groups.map(({ cells, volunteers }) => (
              <tr key={JSON.stringify(cells)}>
                <td>{cells.sex || "–"}</td>
                <td>{cells.age || "–"}</td>
                <td>{cells.height || "–"}</td>
                <td>{cells.mass || "–"}</td>
                <td>{volunteers}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
    </>
  );
}

function PeopleLeftOut({ report }: { readonly report: Report }) {
  const people = [...report.withoutPermission, ...report.leftOut];
  if (people.length === 0) return null;
  return (
    <>
      <SectionHeading level={3}>Who is not in it, and why</SectionHeading>
      <ul className={classes.list}>
        {people.map(({ code, reason }) => (
          <li key={`${code} ${reason}`}>
            {code}: {reason}
          </li>
        ))}
      </ul>
    </>
  );
}
