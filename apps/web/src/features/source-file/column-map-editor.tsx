"use client";

import { Button, Checkbox, Text, TextInput } from "@mantine/core";
import { useDebouncedValue } from "@mantine/hooks";
import { keepPreviousData, useMutation, useQuery } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { Disclosure } from "@/components/disclosure";
import { LoadingState } from "@/components/loading-state";
import { useKeptEntry } from "@/components/use-kept-entry";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { useTRPC, useTRPCClient } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import {
  type ColumnMap,
  type MapEntry,
  mapEntryLike,
  type Proposal,
  type ProposalAnswer,
  placeIn,
} from "./column-map";
import { ColumnRows, SeriesRows } from "./column-rows";
import { FormatFields } from "./format-fields";
import { PreviewTable } from "./preview-table";
import type { ReadOutcome } from "./read-outcome";
import { SheetField } from "./sheet-field";
import classes from "./source-file.module.css";
import { TimeFields } from "./time-fields";

interface ColumnMapEditorProps {
  readonly sourceFileId: string;
  readonly onRead: (outcome: ReadOutcome) => void;
}

/** What a person says of the file before anything else is proposed. */
interface Asked {
  readonly delimiter?: ColumnMap["delimiter"];
  readonly sheet?: string;
}

/** How a file is to be read: proposed, corrected by hand, shown over its first rows, then confirmed. */
export function ColumnMapEditor({ sourceFileId, onRead }: ColumnMapEditorProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const [asked, setAsked] = useState<Asked>({});
  const answer = useQuery(
    trpc.sourceFile.proposal.queryOptions(
      { studyId, sourceFileId, ...asked },
      { staleTime: Number.POSITIVE_INFINITY },
    ),
  );
  if (answer.isPending) return <LoadingState label="Looking at the file" />;
  if (answer.isError) {
    return <QueryError error={answer.error} what="how this file is read" onRetry={() => answer.refetch()} />;
  }
  const { problem, proposal } = answer.data;
  const place = asked.sheet !== undefined || proposal?.columnMap.sheet ? "row" : "line";
  return (
    <div className={classes.editor}>
      {problem !== null && (
        <p role="alert" className={classes.problem}>
          {problem.message}
          {problem.line !== null &&
            ` (${place} ${problem.line}${problem.column === null ? "" : `, column ${problem.column}`})`}{" "}
          The file is kept as it is.
        </p>
      )}
      {proposal === null ? (
        Object.keys(asked).length > 0 && (
          <Button onClick={() => setAsked({})}>
            Go back to the proposed {asked.sheet === undefined ? "separator" : "sheet"}
          </Button>
        )
      ) : (
        <MapForm
          // Another separator or sheet makes other columns: the form begins anew.
          key={`${asked.delimiter ?? asked.sheet ?? "proposed"} ${answer.data.revision}`}
          answer={answer.data}
          proposal={proposal}
          entryKey={`column map ${sourceFileId} ${answer.data.revision} ${asked.delimiter ?? asked.sheet ?? "proposed"}`}
          onAsk={setAsked}
          onRead={onRead}
        />
      )}
    </div>
  );
}

const origins: Readonly<Record<Proposal["origin"], string>> = {
  "this file": "This is how the file was read.",
  remembered: "A file of this layout was read before: the same column map is proposed again.",
  detected: "Proposed by looking at the file. Check what is marked as doubtful.",
};

interface MapFormProps {
  readonly answer: ProposalAnswer;
  readonly proposal: Proposal;
  /** Distinguishes what is entered here from what is entered under another separator. */
  readonly entryKey: string;
  readonly onAsk: (asked: Asked) => void;
  readonly onRead: (outcome: ReadOutcome) => void;
}

type Preview = Outputs["sourceFile"]["preview"];

function MapForm({ answer, proposal, entryKey, onAsk, onRead }: MapFormProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const client = useTRPCClient();
  const refresh = useRefreshTrial();
  const { sourceFileId, choices } = answer;
  const [schema] = useState(() => mapEntryLike(proposal.columnMap));
  const kept = useKeptEntry<MapEntry>(
    entryKey,
    { map: proposal.columnMap, name: answer.columnMapName, keep: true },
    schema,
  );
  const { map, name, keep } = kept.entry;
  const [settled] = useDebouncedValue(map, 300);
  const open = openIn(map);
  const complete = openIn(settled) === null;
  const preview = useQuery({
    queryKey: ["column map preview", studyId, sourceFileId, settled],
    queryFn: () => client.sourceFile.preview.mutate({ studyId, sourceFileId, columnMap: settled, rows: 5 }),
    enabled: complete,
    placeholderData: keepPreviousData,
    staleTime: Number.POSITIVE_INFINITY,
  });
  const read = useMutation(trpc.sourceFile.read.mutationOptions());
  const failure = read.error === null ? null : failureOf(read.error);

  const submit = (event: FormEvent) => {
    event.preventDefault();
    read.mutate(
      { studyId, sourceFileId, revision: answer.revision, columnMap: map, keep, ...(keep ? { name } : {}) },
      {
        onSuccess: async (outcome) => {
          kept.forget();
          await refresh();
          onRead(outcome);
        },
      },
    );
  };
  const change = (next: ColumnMap) => {
    read.reset();
    kept.change({ ...kept.entry, map: next });
  };
  const named = !keep || name.trim() !== "";
  const general = proposal.doubts
    .filter((doubt) => doubt.column === null || map.layout !== "wide")
    .filter((doubt) => doubt.reason !== answer.problem?.message);

  return (
    <form onSubmit={submit} noValidate>
      <p>{origins[proposal.origin]}</p>
      {kept.restored && (
        <p role="status" className={classes.quiet}>
          What you had changed before the page was loaded anew is here again.
        </p>
      )}
      {general.length > 0 && (
        <ul className={classes.doubts} aria-label="Doubts about the file">
          {general.map((doubt) => (
            <li key={`${doubt.kind} ${doubt.field}`}>{doubt.reason}</li>
          ))}
        </ul>
      )}
      {map.sheet !== null && (
        <SheetField sheet={map.sheet} sheets={proposal.sheets} onSheet={(sheet) => onAsk({ sheet })} />
      )}
      <h4 className={classes.part}>Columns</h4>
      <ColumnRows map={map} choices={choices} proposal={proposal} preview={preview.data} onChange={change} />
      {map.layout !== "wide" && (
        <>
          <h4 className={classes.part}>Series</h4>
          <SeriesRows
            map={map}
            choices={choices}
            proposal={proposal}
            preview={preview.data}
            onChange={change}
          />
        </>
      )}
      <h4 className={classes.part}>Time</h4>
      <TimeFields time={map.time} choices={choices} onChange={(time) => change({ ...map, time })} />
      <div className={classes.more}>
        <Disclosure
          summary={
            map.sheet === null
              ? "How the text is built (separator, decimal mark, encoding, missing values)"
              : "How the workbook is read (decimal mark, first row, missing values)"
          }
        >
          <FormatFields
            map={map}
            choices={choices}
            onChange={change}
            onDelimiter={(delimiter) => onAsk({ delimiter })}
          />
        </Disclosure>
        <Disclosure summary="The first rows as they stand in the file">
          <PreviewTable proposal={proposal} />
        </Disclosure>
      </div>
      <PreviewWords preview={preview.data} open={open} place={placeIn(map)} />
      {preview.isError && (
        <Text role="alert" c="var(--mantine-color-error)">
          The preview cannot be shown. {failureOf(preview.error).message}
        </Text>
      )}
      {failure !== null && (
        <Text role="alert" c="var(--mantine-color-error)">
          {failure.message}
          {whereOf(failure.details, placeIn(map))} Your column map is still here, and the file is kept.
        </Text>
      )}
      <h4 className={classes.part}>Keep this column map</h4>
      <Checkbox
        label={
          answer.remembered
            ? "for files of this layout: it takes the place of the one that is kept"
            : "for files of this layout: it is proposed for the next one"
        }
        description={
          keep ? undefined : "This file is an exception; what is kept for the layout stays as it is."
        }
        checked={keep}
        onChange={(event) => kept.change({ ...kept.entry, keep: event.currentTarget.checked })}
      />
      <div className={classes.row}>
        {keep && (
          <TextInput
            label="Name of the column map"
            value={name}
            onChange={(event) => kept.change({ ...kept.entry, name: event.currentTarget.value })}
            error={failure?.fields.name ?? (named ? null : "Give it a name.")}
            maxLength={120}
            w={320}
            maw="100%"
          />
        )}
        <Button type="submit" variant="filled" loading={read.isPending} disabled={open !== null || !named}>
          {answer.state === "read" ? "Read the file again" : "Read the file"}
        </Button>
      </div>
    </form>
  );
}

function whereOf(details: Readonly<Record<string, unknown>>, place: "line" | "row"): string {
  const line = typeof details.line === "number" ? `${place} ${details.line}` : null;
  const column = typeof details.column === "number" ? `column ${details.column}` : null;
  const places = [line, column].filter((part) => part !== null);
  return places.length === 0 ? "" : ` (${places.join(", ")})`;
}

/** What a map still leaves open, so that nothing can be read by it. */
function openIn(map: ColumnMap): string | null {
  if (map.time.columns.length === 0) {
    return "No column is the time. Choose the column that holds the time of the rows.";
  }
  const uses = map.layout === "wide" ? map.columns : map.series;
  if (uses.some(({ use }) => use.kind === "region" && use.regionId === "")) {
    return "A column is a region, but it is not said which. Choose its region.";
  }
  return null;
}

interface PreviewWordsProps {
  readonly preview: Preview | undefined;
  readonly open: string | null;
  readonly place: "line" | "row";
}

/** What the first rows would read as, in words: a refusal with its place, warnings, and differences to the protocol. */
function PreviewWords({ preview, open, place }: PreviewWordsProps) {
  if (open !== null) {
    return (
      <p role="status" className={classes.problem}>
        {open}
      </p>
    );
  }
  if (preview === undefined) return null;
  const { problem, coverage, warnings, startedAt, startClock } = preview;
  return (
    <div role="status" className={classes.words}>
      {problem !== null && (
        <p className={classes.problem}>
          {problem.message}
          {whereOf({ line: problem.line, column: problem.column }, place)}
        </p>
      )}
      {warnings.map((warning) => (
        <p key={warning.kind}>
          {warning.message}
          {warning.lines.length > 0 && ` (${place} ${warning.lines.join(", ")})`}
        </p>
      ))}
      {coverage !== null && coverage.warning !== null && <p>{coverage.warning}</p>}
      {problem === null && coverage !== null && coverage.warning === null && (
        <p>Every region that the protocol asks for is read.</p>
      )}
      {problem === null && (startedAt !== null || startClock !== null) && (
        <p className={classes.quiet}>The file says that it began at {startedAt ?? startClock}.</p>
      )}
    </div>
  );
}
