import type { z } from "zod";
import { notFound } from "../app-error";
import { changedValues } from "../audit/policy";
import type { AuditDraft } from "../audit/schema";
import type { Core } from "../core";
import { refuseNaming, requireNotErased } from "../identity/service";
import { changedMeanwhile } from "../revision";
import { type ReadScope, type Transaction, writeInStudy } from "../scope";
import { openLink, writeByLink } from "../volunteer-link/service";
import { noPreferences, preferencesInWords } from "./policy";
import {
  type Preferences,
  type preferenceInput,
  preferences,
  type savePreferenceInput,
  type statePreferencesInput,
} from "./schema";

/** What a volunteer stated, or that nothing is stated yet. */
export async function statedPreferences(
  { db, access }: { readonly db: ReadScope["db"]; readonly access: { readonly studyId: string } },
  volunteerId: string,
) {
  const row = await db.preference.findFirst({ where: { volunteerId, studyId: access.studyId } });
  const stated = row === null ? noPreferences : preferences.parse(row);
  return {
    ...stated,
    revision: row?.revision ?? 0,
    changedAt: row?.changedAt.toISOString() ?? null,
    changedBy: row === null ? null : (row.changedByName ?? "the volunteer, by link"),
    inWords: preferencesInWords(stated),
  };
}

export async function preferencesOfVolunteer(scope: ReadScope, input: z.output<typeof preferenceInput>) {
  const volunteer = await scope.db.volunteer.findFirst({
    where: { id: input.volunteerId, studyId: scope.access.studyId },
    select: { id: true },
  });
  if (volunteer === null) throw notFound("volunteer");
  return statedPreferences(scope, volunteer.id);
}

interface Writing {
  readonly db: Transaction;
  readonly core: Core;
  readonly now: Date;
  readonly access: { readonly studyId: string };
}

/** Within a transaction that holds the volunteer. */
async function store(
  write: Writing,
  volunteer: { readonly id: string; readonly code: string },
  input: Preferences & { readonly revision: number },
  entry: { readonly action: string; readonly byName: string | null },
): Promise<{ readonly result: { readonly revision: number }; readonly audit: readonly [AuditDraft] }> {
  const { db, access, now } = write;
  const {
    revision,
    changedAt: _at,
    changedBy: _by,
    inWords: _words,
    ...before
  } = await statedPreferences(write, volunteer.id);
  if (revision !== input.revision) throw changedMeanwhile("list of preferences", { revision, ...before });
  await refuseNaming(write, volunteer.id, input.clothing, "clothing");
  await refuseNaming(write, volunteer.id, input.other, "other");
  const stated = preferences.parse(input);
  const data = { ...stated, revision: revision + 1, changedAt: now, changedByName: entry.byName };
  await db.preference.upsert({
    where: { volunteerId: volunteer.id },
    create: { volunteerId: volunteer.id, studyId: access.studyId, ...data },
    update: data,
  });
  return {
    result: { revision: revision + 1 },
    audit: [
      {
        action: entry.action,
        subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
        ...changedValues({ ...before }, { ...stated }),
      },
    ],
  };
}

export function savePreferences(scope: ReadScope, input: z.output<typeof savePreferenceInput>) {
  return writeInStudy(scope, async (write) => {
    const { studyId } = write.access;
    await write.db
      .$queryRaw`select id from volunteer where id = ${input.volunteerId} and study_id = ${studyId} for update`;
    const volunteer = await write.db.volunteer.findFirst({
      where: { id: input.volunteerId, studyId },
      select: { id: true, code: true, erasedAt: true },
    });
    if (volunteer === null) throw notFound("volunteer");
    requireNotErased(volunteer);
    return store(write, volunteer, input, { action: "preference.save", byName: write.access.actor.name });
  });
}

/** The volunteer states them on the invitation's page. */
export async function statePreferencesByLink(
  core: Core,
  input: z.output<typeof statePreferencesInput>,
  sender: string,
) {
  const scope = await openLink(core, input.token, "invitation", sender);
  return writeByLink(scope, (write) =>
    store(write, write.volunteer, input, { action: "forYou.statePreferences", byName: null }),
  );
}
