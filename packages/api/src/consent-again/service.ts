import { permissionsOf } from "../consent/service";
import { takePart } from "../consent-form/schema";
import { permissionsOfForm } from "../consent-form/service";
import type { ReadScope } from "../scope";
import { differenceBetween } from "./policy";

/**
 * The volunteers who take part by an older version of the consent form than the one in force, what that version does not
 * cover, and whether a link to sign is on its way. Who has taken part back, or never did, is not asked again.
 */
export async function volunteersToAskAgain(scope: ReadScope) {
  const { db, access, now } = scope;
  const { studyId } = access;
  const form = await db.consentForm.findFirst({ where: { studyId, state: "in_force" } });
  if (form === null) return { version: null, inForceAt: null, concerned: [], upToDate: 0 };
  const volunteers = await db.volunteer.findMany({
    where: { studyId, erasedAt: null, consentRecords: { some: {} } },
    select: {
      id: true,
      code: true,
      consentRecords: {
        orderBy: [{ signedAt: "desc" }, { recordedAt: "desc" }],
        take: 1,
        select: { signedAt: true, form: { select: { version: true, permissions: true } } },
      },
      links: {
        where: { purpose: "sign", usedAt: null, revokedAt: null, expiresAt: { gt: now } },
        orderBy: { expiresAt: "desc" },
        take: 1,
        select: { expiresAt: true },
      },
    },
    orderBy: { code: "asc" },
  });
  const consents = await permissionsOf(
    scope,
    volunteers.map(({ id }) => id),
    now,
  );
  const takingPart = volunteers.filter(({ id }) => consents.get(id)?.has(takePart) === true);
  const newer = permissionsOfForm(form);
  const concerned = takingPart.flatMap(({ id, code, consentRecords, links }) => {
    const [signed] = consentRecords;
    if (signed === undefined || signed.form.version >= form.version) return [];
    return [
      {
        volunteerId: id,
        code,
        signedVersion: signed.form.version,
        signedAt: signed.signedAt.toISOString(),
        ...differenceBetween(permissionsOfForm(signed.form), newer),
        /** Until when the volunteer can sign by a link that was made already; null while there is none. */
        linkUntil: links[0]?.expiresAt.toISOString() ?? null,
      },
    ];
  });
  return {
    version: form.version,
    inForceAt: form.inForceAt?.toISOString() ?? null,
    concerned,
    upToDate: takingPart.length - concerned.length,
  };
}
