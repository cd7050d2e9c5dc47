"use client";

import { Button, Group, Stack, Text } from "@mantine/core";
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { type FormEvent, useState } from "react";
import { EmptyState } from "@/components/empty-state";
import { Quantity } from "@/components/quantity";
import { ReasonDialog } from "@/components/reason-dialog";
import { SectionHeading } from "@/components/section-heading";
import stackedTable from "@/components/stacked-table.module.css";
import { useStudy } from "@/features/study/study-context";
import { useTRPC } from "@/trpc/client";
import { failureOf } from "@/trpc/failure";
import { BodyMeasuresFields } from "./body-fields";
import { bodyInput, emptyBody } from "./body-form";
import classes from "./volunteer.module.css";
import { type Body, skinfoldNames, skinfoldSites, type Volunteer } from "./words";

export function BodyMeasuresSection({ volunteer }: { readonly volunteer: Volunteer }) {
  const { studyId, may } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const [adding, setAdding] = useState(false);
  const [removing, setRemoving] = useState<Body | null>(null);
  const remove = useMutation(trpc.volunteer.removeBodyMeasures.mutationOptions());
  const { volunteerId, bodyMeasures } = volunteer;
  const add =
    may("volunteer.addBodyMeasures") && !adding ? (
      <Button onClick={() => setAdding(true)}>Add body measures</Button>
    ) : undefined;
  return (
    <section aria-labelledby="body">
      <SectionHeading
        id="body"
        explanation="The latest count. Surface area after Du Bois & Du Bois 1916."
        actions={bodyMeasures.length > 0 ? add : undefined}
      >
        Body measures
      </SectionHeading>
      {adding && <AddForm volunteerId={volunteerId} onDone={() => setAdding(false)} />}
      {bodyMeasures.length === 0 && !adding && (
        <EmptyState title="Not measured yet." {...(add === undefined ? {} : { action: add })}>
          Heat is scaled to the surface area of the body, so height and mass are needed for it.
        </EmptyState>
      )}
      {bodyMeasures.length > 0 && (
        <div className={classes.scroll}>
          <table className={`${classes.table} ${stackedTable.stacked}`} aria-label="Body measures">
            <thead>
              <tr>
                <th scope="col">Measured on</th>
                <th scope="col" data-align="right">
                  Height
                </th>
                <th scope="col" data-align="right">
                  Mass
                </th>
                <th scope="col" data-align="right">
                  Surface area
                </th>
                <th scope="col" data-align="right">
                  Mass index
                </th>
                <th scope="col">Skinfolds</th>
                {may("volunteer.removeBodyMeasures") && <th scope="col">Change</th>}
              </tr>
            </thead>
            <tbody>
              {bodyMeasures.map((body) => (
                <tr key={body.bodyMeasuresId}>
                  <th scope="row" className={classes.moment}>
                    {body.measuredOn}
                  </th>
                  <td data-align="right" data-label="Height">
                    <Quantity value={body.heightCm} unit="cm" />
                  </td>
                  <td data-align="right" data-label="Mass">
                    <Quantity value={body.massKg} unit="kg" />
                  </td>
                  <td data-align="right" data-label="Surface area">
                    <Quantity value={body.surfaceAreaM2} unit="m²" digits={3} />
                  </td>
                  <td data-align="right" data-label="Mass index">
                    <Quantity value={body.massIndexKgM2} unit="kg/m²" />
                  </td>
                  <td data-label="Skinfolds">{skinfoldText(body)}</td>
                  {may("volunteer.removeBodyMeasures") && (
                    <td>
                      <Button
                        size="compact-sm"
                        variant="subtle"
                        onClick={() => setRemoving(body)}
                        aria-label={`Remove the body measures of ${body.measuredOn}`}
                      >
                        Remove
                      </Button>
                    </td>
                  )}
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      <ReasonDialog
        opened={removing !== null}
        onClose={() => setRemoving(null)}
        title={`Remove the body measures of ${removing?.measuredOn ?? ""}?`}
        explanation="The audit trail keeps the numbers and your reason. Heat is then scaled with the measures that remain."
        confirmLabel="Remove"
        stops
        onConfirm={async (reason) => {
          if (removing === null) return;
          await remove.mutateAsync({ studyId, volunteerId, bodyMeasuresId: removing.bodyMeasuresId, reason });
          await queries.invalidateQueries({ queryKey: trpc.volunteer.pathKey() });
        }}
      />
    </section>
  );
}

function skinfoldText(body: Body): string {
  const parts = skinfoldSites.flatMap((site) => {
    const mm = body.skinfoldsMm?.[site];
    return mm === undefined ? [] : [`${skinfoldNames[site]} ${mm} mm`];
  });
  return parts.length === 0 ? "–" : parts.join(", ");
}

interface AddFormProps {
  readonly volunteerId: string;
  readonly onDone: () => void;
}

function AddForm({ volunteerId, onDone }: AddFormProps) {
  const { studyId } = useStudy();
  const trpc = useTRPC();
  const queries = useQueryClient();
  const [body, setBody] = useState(emptyBody);
  const add = useMutation(trpc.volunteer.addBodyMeasures.mutationOptions());
  const failure = add.error === null ? null : failureOf(add.error);
  const errors = failure?.fields ?? {};
  const submit = (event: FormEvent) => {
    event.preventDefault();
    add.mutate(
      { studyId, volunteerId, bodyMeasures: bodyInput(body) },
      {
        onSuccess: async () => {
          await queries.invalidateQueries({ queryKey: trpc.volunteer.pathKey() });
          onDone();
        },
      },
    );
  };
  return (
    <form onSubmit={submit} noValidate aria-label="New body measures">
      <Stack gap="md" mb="md">
        <BodyMeasuresFields value={body} onChange={setBody} errors={errors} />
        {failure !== null && Object.keys(errors).length === 0 && (
          <Text role="alert" c="var(--mantine-color-error)">
            {failure.message}
          </Text>
        )}
        <Group gap="sm">
          <Button type="submit" variant="filled" loading={add.isPending}>
            Save body measures
          </Button>
          <Button onClick={onDone} disabled={add.isPending}>
            Cancel
          </Button>
        </Group>
      </Stack>
    </form>
  );
}
