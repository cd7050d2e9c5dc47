"use client";

import { Button, Group, TextInput } from "@mantine/core";
import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import { formatBytes } from "@/components/format-bytes";
import { formatMoment } from "@/components/format-moment";
import { KeyValueList } from "@/components/key-value-list";
import { LoadingState } from "@/components/loading-state";
import { ReasonDialog } from "@/components/reason-dialog";
import { SectionHeading } from "@/components/section-heading";
import { GuardedDownload } from "@/features/account/guarded-download";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import type { Outputs } from "@/trpc/outputs";
import { QueryError } from "@/trpc/query-error";
import classes from "./volunteer.module.css";

type Erasure = Outputs["erasure"]["ofVolunteer"];

const releasesOf = ({ releases }: Erasure) =>
  releases.length === 0
    ? "none"
    : releases.map(({ number, madeAt }) => `release ${number} (${madeAt.slice(0, 10)})`).join(", ");

/** What is kept of a volunteer: handed out to them, or erased for good; of one who was erased, the tombstone. */
export function ErasureSection({ volunteerId }: { readonly volunteerId: string }) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  // It counts what other pages change: a consent that was just recorded, a file that was just sent.
  const erasure = useQuery(
    trpc.erasure.ofVolunteer.queryOptions({ studyId, volunteerId }, { refetchOnMount: "always" }),
  );
  if (erasure.isPending) return <LoadingState label="Reading what is kept" />;
  if (erasure.isError) {
    return (
      <QueryError
        error={erasure.error}
        what="what is kept of this volunteer"
        onRetry={() => erasure.refetch()}
      />
    );
  }
  return erasure.data.erasedAt === null ? (
    <Kept erasure={erasure.data} />
  ) : (
    <Tombstone erasure={erasure.data} erasedAt={erasure.data.erasedAt} />
  );
}

function Tombstone({ erasure, erasedAt }: { readonly erasure: Erasure; readonly erasedAt: string }) {
  return (
    <section aria-labelledby="erased">
      <SectionHeading
        id="erased"
        explanation="Identity, consents, trials, files and the values in the audit trail are gone. The code stays, so that nobody is given it again."
      >
        Erased
      </SectionHeading>
      <KeyValueList
        items={[
          { label: "Erased on", value: formatMoment(erasedAt) },
          {
            label: "Its bytes in files and database",
            value: erasure.bytesGoneAt === null ? "being removed" : "gone",
            ...(erasure.bytesGoneAt === null
              ? { note: "Something still reads the database; this is tried again at least every hour." }
              : {}),
          },
          {
            label: "Releases that hold the data",
            value: releasesOf(erasure),
            ...(erasure.releases.length === 0
              ? {}
              : { note: "Without a name, and handed out: they cannot be called back." }),
          },
        ]}
      />
    </section>
  );
}

function Kept({ erasure }: { readonly erasure: Erasure }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const [asking, setAsking] = useState(false);
  const [typed, setTyped] = useState("");
  const erase = useMutation(trpc.erasure.erase.mutationOptions());
  const { volunteerId, code } = erasure;
  return (
    <section aria-labelledby="kept">
      <SectionHeading
        id="kept"
        explanation="A volunteer may ask for everything that is kept about them, and that all of it is erased."
      >
        What is kept
      </SectionHeading>
      <KeyValueList
        items={[
          { label: "Trials", value: erasure.trials },
          {
            label: "Source files",
            value:
              erasure.sourceFiles === 0
                ? 0
                : `${erasure.sourceFiles} (${formatBytes(erasure.sourceFileBytes)})`,
          },
          { label: "Consent records", value: erasure.consentRecords },
          { label: "Releases that hold the data", value: releasesOf(erasure) },
        ]}
      />
      <Group gap="sm" mt="sm">
        {may("ownData.export") && (
          <GuardedDownload href={`/api/studies/${studyId}/volunteers/${volunteerId}/own-data`}>
            Own data for the volunteer
          </GuardedDownload>
        )}
        {may("erasure.erase") && (
          <Button color="red" variant="outline" onClick={() => setAsking(true)}>
            Erase this volunteer
          </Button>
        )}
        {!may("erasure.erase") && (
          <p className={classes.note}>A lead investigator of this study can erase a volunteer.</p>
        )}
      </Group>
      <ReasonDialog
        opened={asking}
        onClose={() => setAsking(false)}
        title={`Erase ${code} for good?`}
        explanation={
          <>
            Identity, consents with their signatures, {erasure.trials} trials and {erasure.sourceFiles} source
            files are removed at once, and cannot be brought back. Only the code stays.{" "}
            {erasure.releases.length === 0
              ? "No release holds the data."
              : `The data stays, without a name, in ${releasesOf(erasure)}.`}{" "}
            Backups that were made before hold it until they are overwritten.
          </>
        }
        reasonLabel="Why it is erased"
        confirmLabel="Erase for good"
        maxLength={500}
        stops
        onConfirm={async (reason) => {
          await erase.mutateAsync({ studyId, volunteerId, code: typed.trim(), reason });
          setTyped("");
          await queries.invalidateQueries();
        }}
      >
        <TextInput
          label={`Type ${code} to confirm`}
          value={typed}
          onChange={(event) => setTyped(event.currentTarget.value)}
          autoComplete="off"
          required
          data-autofocus
        />
      </ReasonDialog>
    </section>
  );
}
