"use client";

import { Button, Group, NativeSelect, Stack, Text } from "@mantine/core";
import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { NumberField } from "@/components/number-field";
import { ReasonDialog } from "@/components/reason-dialog";
import { SectionHeading } from "@/components/section-heading";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { Assessment } from "./assessment";

const licences = ["CC-BY-4.0", "CC-BY-NC-4.0", "CC0-1.0"] as const;
type Licence = (typeof licences)[number];

/** Shows what a release would show and hide, and makes it only after that was seen. */
export function MakeRelease() {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const study = useQuery(trpc.study.get.queryOptions({ studyId }));
  const assess = useMutation(trpc.release.assess.mutationOptions());
  const make = useMutation(trpc.release.make.mutationOptions());
  const [typedGroup, setTypedGroup] = useState<number | null>(null);
  const [licence, setLicence] = useState<Licence>("CC-BY-4.0");
  const [asking, setAsking] = useState(false);
  const smallestGroup = typedGroup ?? study.data?.smallestGroup ?? null;
  const failure = assess.error === null ? null : failureOf(assess.error);
  const report = assess.data;

  const submit = (event: FormEvent) => {
    event.preventDefault();
    make.reset();
    assess.mutate({ studyId, smallestGroup: smallestGroup ?? 0, licence });
  };

  return (
    <section>
      <SectionHeading explanation="Only volunteers whose permission to share anonymised numbers is in force are considered. Pseudonyms are drawn anew, dates are left out, and body data are coarsened together until enough volunteers share each combination.">
        New release
      </SectionHeading>
      <form onSubmit={submit} noValidate>
        <Group gap="md" align="end">
          <NumberField
            label="Smallest group"
            unit="volunteers"
            digits={0}
            value={smallestGroup}
            onChange={(value) => {
              setTypedGroup(value);
              assess.reset();
            }}
            error={failure?.fields.smallestGroup}
          />
          <NativeSelect
            label="Licence"
            data={[...licences]}
            value={licence}
            onChange={(event) => {
              setLicence(licences.find((known) => known === event.currentTarget.value) ?? "CC-BY-4.0");
              assess.reset();
            }}
          />
          <Button type="submit" variant="filled" loading={assess.isPending}>
            Assess
          </Button>
        </Group>
      </form>
      {failure !== null && failure.fields.smallestGroup === undefined && (
        <Text role="alert" c="var(--mantine-color-error)" mt="md">
          {failure.message}
        </Text>
      )}
      {make.isSuccess && (
        <Text role="status" mt="md">
          Release {make.data.number} was made and stands in the register below.
        </Text>
      )}
      {report !== undefined && (
        <Stack gap="md" mt="md">
          <Assessment report={report} />
          {report.refusals.length === 0 && (
            <div>
              <Button variant="filled" onClick={() => setAsking(true)}>
                Make release {report.releaseNumber}
              </Button>
            </div>
          )}
        </Stack>
      )}
      <ReasonDialog
        opened={asking}
        onClose={() => setAsking(false)}
        title={`Make release ${report?.releaseNumber ?? ""}`}
        explanation="The dataset is written and numbered, and never changes afterwards. Once it was handed out it cannot be called back. The ethics body's decision and local law prevail."
        reasonLabel="For what is it made?"
        confirmLabel="Make the release"
        onConfirm={async (reason) => {
          await make.mutateAsync({ studyId, smallestGroup: smallestGroup ?? 0, licence, reason });
          assess.reset();
          await queries.invalidateQueries({ queryKey: trpc.release.pathKey() });
        }}
      />
    </section>
  );
}
