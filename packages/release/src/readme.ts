import type { DisclosureReport, WithheldNumbers } from "./disclosure-report";
import type { ProtocolToRelease, ReleaseFacts, StudyToRelease } from "./release-input";
import { fixedTables } from "./table";

export interface ReadmeFacts {
  readonly study: StudyToRelease;
  readonly release: ReleaseFacts;
  readonly protocol: ProtocolToRelease;
  readonly report: DisclosureReport;
  readonly withheldTraces: readonly WithheldNumbers[];
}

/** `README.md`: what the package holds, how its values came about, what was coarsened, how to load it. */
export function readme(facts: ReadmeFacts): string {
  return `${[opening(facts), tables(), values(), hidden(facts), loading(), citing(facts)].join("\n\n")}\n`;
}

function opening({ study, release, protocol, report }: ReadmeFacts): string {
  return `# ${line(study.title)}

${study.summary}

Release ${release.number}. ${report.volunteers.released} volunteers, ${report.trials.released} trials, protocol version ${protocol.version}.`;
}

function tables(): string {
  const rows = fixedTables.map((table) => `| \`${table.path}\` | ${table.description} |`);
  return `## Files

| file | content |
|---|---|
${rows.join("\n")}
| \`traces/*.csv\` | The samples: one file per trial and set of times, one row per time, one column per trace. |
| \`disclosure-report.json\` | The rule that this release fulfils and what that took. |
| \`datapackage.json\` | Every file with its length and SHA-256, every column with its type, unit and description (Data Package, version 2); \`auditTrail\` notes the last entry of the study's audit trail, so that it can be shown later whether that trail was altered. |

All tables are CSV after RFC 4180: UTF-8, commas, one header row, lines ending in CR LF, a decimal point. A missing value is empty.
Text that begins with \`=\`, \`+\`, \`-\` or \`@\` has an apostrophe in front, so that a spreadsheet does not take it for a formula.`;
}

function values(): string {
  return `## How the values came about

Samples are those of the instruments' files as the study holds them, without resampling or rounding: stored with the
precision of a 32-bit float where the study stores them so, and written as the shortest decimal that reads back as the
same number. Where the study corrected a fault of an instrument (a step or a drift of a camera, a stretch without use, a clock,
the emissivity that was set), the samples here are the corrected ones, and the measures rest on them. Times are seconds from the start of the trial's first exercise phase (of its first phase where a trial has no
exercise), to the microsecond; what comes before is negative. Measures are computed by the study's software from the
traces; the unit of each stands in its row. Temperatures are in °C.`;
}

function hidden({ report, withheldTraces }: ReadmeFacts): string {
  const { rule, after } = report;
  const columns = report.columns.map(({ column, words }) => `| ${column} | ${words} |`);
  const withheld = [...report.withheld, ...withheldTraces].map(
    ({ what, name, unit, count, reason }) =>
      `- ${count} × ${what} ${line(name)} (${unit || "no unit"}): ${reason}.`,
  );
  const left = report.leftOut.length;
  return `## What was hidden, and how well

Names, contacts, dates, clock times, file names and the study's volunteer codes are not in this package. Volunteers and
trials have pseudonyms drawn at random for this release; their order says nothing, and another release has others.

Sex, age, height and mass were coarsened together until every row of \`volunteers.csv\` is shared by at least ${rule.k}
volunteers${after ? ` (reached: ${after.smallestGroup})` : ""}. Surface area and mass index are computed from the released bands.

| column | released as |
|---|---|
${columns.join("\n")}

Left out so that the others could keep finer bands: ${left} of ${report.volunteers.offered} volunteers.

Not released:

${withheld.length > 0 ? withheld.join("\n") : "- No measure and no trace was kept back."}

What may still be learnt:

${report.remainingRisks.map((risk) => `- ${risk}`).join("\n")}

Do not try to find out who the volunteers are.`;
}

function loading(): string {
  return `## Loading it in R

\`\`\`r
folder <- "."  # where this package was unpacked
read_table <- function(path) {
  read.csv(file.path(folder, path), na.strings = "", fileEncoding = "UTF-8")
}
volunteers <- read_table("volunteers.csv")
trials <- merge(read_table("trials.csv"), volunteers, by = "volunteer")
measures <- merge(read_table("measures.csv"), trials, by = "trial")
traces <- read_table("traces.csv")
read_trace <- function(i) {
  samples <- read_table(traces$file[i])
  data.frame(trial = traces$trial[i], time_s = samples$time_s, value = samples[[traces$column[i]]])
}
first_trace <- read_trace(1)
\`\`\`

## Loading it in Python

\`\`\`python
from pathlib import Path
import pandas as pd

folder = Path(".")  # where this package was unpacked
volunteers = pd.read_csv(folder / "volunteers.csv")
trials = pd.read_csv(folder / "trials.csv").merge(volunteers, on="volunteer")
measures = pd.read_csv(folder / "measures.csv").merge(trials, on="trial")
traces = pd.read_csv(folder / "traces.csv")

def read_trace(row):
    samples = pd.read_csv(folder / row.file)
    return pd.DataFrame({"trial": row.trial, "time_s": samples["time_s"], "value": samples[row.column]})

first_trace = read_trace(traces.iloc[0])
\`\`\``;
}

function citing({ study, release }: ReadmeFacts): string {
  const year = release.createdOn.slice(0, 4);
  return `## Citing it

${line(study.title)}, release ${release.number}, ${year}. Licence: ${line(release.licence.title)} (${release.licence.name}),
${release.licence.path}`;
}

/** Text that has to stay on one line. */
function line(text: string): string {
  return text.replace(/\s+/g, " ").trim();
}
