import type { z } from "zod";
import { AppError } from "../app-error";
import { changedLines } from "../audit/policy";
import type { Core } from "../core";
import type { tokenInput } from "../for-you/schema";
import { statedPreferences } from "../preference/service";
import { protocolInForce } from "../protocol/service";
import { changedMeanwhile } from "../revision";
import { type ReadScope, writeInStudy } from "../scope";
import { openLink } from "../volunteer-link/service";
import { offeredTexts, stillOpen } from "./policy";
import { invitationQuestions, invitationTexts, type saveInvitationInput } from "./schema";

type Reading = { readonly db: ReadScope["db"]; readonly access: { readonly studyId: string } };

async function written({ db, access }: Reading) {
  const study = await db.study.findUniqueOrThrow({ where: { id: access.studyId }, select: { title: true } });
  const row = await db.invitationText.findUnique({ where: { studyId: access.studyId } });
  return { studyTitle: study.title, row, texts: row === null ? null : invitationTexts.parse(row.texts) };
}

/** The invitation as it stands, and what the protocol offers as a draft of each answer. */
export async function getInvitation(scope: ReadScope) {
  const { studyTitle, row, texts } = await written(scope);
  const protocol = await protocolInForce(scope.db, scope.access.studyId);
  return {
    studyTitle,
    texts,
    revision: row?.revision ?? 0,
    changedAt: row?.changedAt.toISOString() ?? null,
    changedByName: row?.changedByName ?? null,
    stillOpen: texts === null ? [] : stillOpen(texts),
    offered: offeredTexts(studyTitle, protocol?.content ?? null),
  };
}

export function saveInvitation(scope: ReadScope, input: z.output<typeof saveInvitationInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access, now } = write;
    const { studyId } = access;
    await db.$queryRaw`select id from study where id = ${studyId} for no key update`;
    const { row, texts: before } = await written(write);
    const revision = row?.revision ?? 0;
    if (revision !== input.revision) throw changedMeanwhile("invitation", { revision, texts: before });
    const data = {
      texts: input.texts,
      revision: revision + 1,
      changedAt: now,
      changedByName: access.actor.name,
    };
    await db.invitationText.upsert({ where: { studyId }, create: { studyId, ...data }, update: data });
    const changed = invitationQuestions
      .filter((question) => (before?.[question] ?? "") !== input.texts[question])
      .map((question) => [question, changedLines(before?.[question] ?? "", input.texts[question])] as const);
    return {
      result: { revision: revision + 1, changedAt: now.toISOString(), stillOpen: stillOpen(input.texts) },
      audit: [
        {
          action: "invitationText.save",
          subject: { kind: "study", id: studyId, label: "invitation" },
          before: Object.fromEntries(changed.map(([question, lines]) => [question, lines.before])),
          after: Object.fromEntries(changed.map(([question, lines]) => [question, lines.after])),
        },
      ],
    };
  });
}

/** What somebody who was given the link reads, and what they prefer so far. Uses nothing up. */
export async function readInvitation(core: Core, input: z.output<typeof tokenInput>, sender: string) {
  const scope = await openLink(core, input.token, "invitation", sender);
  const { studyTitle, row, texts } = await written(scope);
  if (texts === null || row === null) {
    throw new AppError(
      "wrong-state",
      "There is no invitation to read at the moment. Ask the people who gave you this link.",
    );
  }
  const { inWords: _, ...preferences } = await statedPreferences(scope, scope.volunteer.id);
  return {
    studyTitle,
    code: scope.volunteer.code,
    texts,
    changedAt: row.changedAt.toISOString(),
    preferences,
  };
}
