"use client";

import { Button, TextInput } from "@mantine/core";
import { useMutation } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { ConfirmDialog } from "@/components/confirm-dialog";
import { Disclosure } from "@/components/disclosure";
import { formatMoment } from "@/components/format-moment";
import { StateBadge } from "@/components/state-badge";
import { ReadAgain } from "@/features/source-file/read-again";
import { useStudy } from "@/features/study/study-context";
import { useRefreshTrial } from "@/features/trial/refresh-trial";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import type { Outputs } from "@/trpc/outputs";
import classes from "./column-map.module.css";

type Map = Outputs["columnMap"]["list"]["rows"][number];

interface KeptMapProps {
  readonly map: Map;
  readonly opened: boolean;
  readonly onToggle: () => void;
}

const filesText = (count: number) => (count === 1 ? "1 file" : `${count} files`);

export function KeptMap({ map, opened, onToggle }: KeptMapProps) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const [renaming, setRenaming] = useState(false);
  const [removing, setRemoving] = useState(false);
  const remove = useMutation(trpc.columnMap.remove.mutationOptions());
  const panelId = `files-${map.columnMapId}`;
  const { columnMapId, revision } = map;
  return (
    <li className={classes.map} aria-label={`Column map ${map.name}`}>
      {renaming ? (
        <RenameForm map={map} onDone={() => setRenaming(false)} />
      ) : (
        <div className={classes.head}>
          <h2 className={classes.name}>{map.name}</h2>
          {map.filesReadOtherwise > 0 ? (
            <StateBadge shape="half">{filesText(map.filesReadOtherwise)} read by an earlier map</StateBadge>
          ) : (
            <StateBadge shape="tick">{filesText(map.filesRead)} read by it</StateBadge>
          )}
        </div>
      )}
      <p className={classes.quiet}>
        {map.inShort}. Confirmed {formatMoment(map.confirmedAt)}
        {map.confirmedBy !== null && ` by ${map.confirmedBy}`}.{" "}
        {map.filesReadOtherwise > 0 && `${filesText(map.filesRead)} read by it. `}
        {map.filesNotRead > 0 && `${filesText(map.filesNotRead)} not read yet.`}
      </p>
      <Disclosure summary="What it reads, and the fingerprint of its layout">
        {map.reads.length === 0 ? (
          <p>It reads no column.</p>
        ) : (
          <ul className={classes.reads}>
            {map.reads.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        )}
        <p className={classes.fingerprint}>{map.fingerprint}</p>
      </Disclosure>
      <div className={classes.tools}>
        <Button
          size="compact-sm"
          variant={map.filesReadOtherwise > 0 ? "filled" : "default"}
          aria-expanded={opened}
          aria-controls={panelId}
          onClick={onToggle}
        >
          {opened
            ? "Close its files"
            : map.filesReadOtherwise > 0
              ? "Its files: read them again"
              : "Its files"}
        </Button>
        {may("columnMap.rename") && !renaming && (
          <Button size="compact-sm" onClick={() => setRenaming(true)}>
            Rename
          </Button>
        )}
        {may("columnMap.remove") && (
          <Button size="compact-sm" variant="subtle" onClick={() => setRemoving(true)}>
            Remove
          </Button>
        )}
      </div>
      <div id={panelId}>{opened && <ReadAgain columnMapId={columnMapId} />}</div>
      <ConfirmDialog
        opened={removing}
        onClose={() => setRemoving(false)}
        title={`Remove the column map ${map.name}?`}
        confirmLabel="Remove"
        stops
        onConfirm={async () => {
          await remove.mutateAsync({ studyId, columnMapId, revision });
          await refresh();
        }}
      >
        Files that were read stay read as they are, each with its own copy of the map. The next file of this
        layout is looked at afresh, and its columns have to be confirmed anew.
      </ConfirmDialog>
    </li>
  );
}

function RenameForm({ map, onDone }: { readonly map: Map; readonly onDone: () => void }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const refresh = useRefreshTrial();
  const [name, setName] = useState(map.name);
  const rename = useMutation(trpc.columnMap.rename.mutationOptions());
  const failure = rename.error === null ? null : failureOf(rename.error);
  const submit = (event: FormEvent) => {
    event.preventDefault();
    rename.mutate(
      { studyId, columnMapId: map.columnMapId, revision: map.revision, name },
      {
        onSuccess: async () => {
          await refresh();
          onDone();
        },
      },
    );
  };
  return (
    <form onSubmit={submit} noValidate className={classes.rename}>
      <TextInput
        label="Name of the column map"
        value={name}
        onChange={(event) => setName(event.currentTarget.value)}
        error={failure === null ? null : (failure.fields.name ?? failure.message)}
        maxLength={120}
        w={320}
        maw="100%"
        data-autofocus
        autoFocus
      />
      <Button type="submit" variant="filled" loading={rename.isPending} disabled={name.trim() === ""}>
        Save the name
      </Button>
      <Button onClick={onDone}>Cancel</Button>
    </form>
  );
}
