import {
  decryptField,
  encryptField,
  type IdentityKeys,
  identityFingerprint,
  type Prisma,
  type PrismaClient,
} from "@acral/db";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import { dayNotInFuture } from "../moment";
import { type ReadScope, type Transaction, writeInStudy } from "../scope";
import {
  agreesWithBirthYear,
  changedFields,
  fieldNames,
  type IdentityField,
  type IdentityValues,
  namesPerson,
} from "./policy";
import type { revealIdentityInput, saveIdentityInput } from "./schema";

/**
 * The one place that reads identity. Values leave it only through `revealIdentity`, which writes an audit entry at each
 * reading; everything else here compares, and answers without a value.
 */

type Row = Prisma.IdentityGetPayload<object>;

const columns = {
  name: "nameCipher",
  contact: "contactCipher",
  dateOfBirth: "dateOfBirthCipher",
} as const satisfies Record<IdentityField, keyof Row>;

const placeOf = (volunteerId: string, field: IdentityField) => ({
  table: "identity",
  field,
  rowId: volunteerId,
});

function decrypt(row: Row | null, keys: IdentityKeys): IdentityValues {
  const value = (field: IdentityField): string => {
    const cipher = row?.[columns[field]] ?? null;
    return row === null || cipher === null
      ? ""
      : decryptField(cipher, placeOf(row.volunteerId, field), row.keyVersion, keys);
  };
  return { name: value("name"), contact: value("contact"), dateOfBirth: value("dateOfBirth") };
}

const signedNamePlace = (recordId: string) => ({
  table: "consent_record",
  field: "name_as_signed",
  rowId: recordId,
});

/** The name as signed on a consent form, encrypted for its row. */
export function encryptSignedName(keys: IdentityKeys, recordId: string, name: string) {
  return {
    nameAsSignedCipher: encryptField(name, signedNamePlace(recordId), keys),
    keyVersion: keys.current,
  };
}

/** Which fields are entered, without their values. */
export async function identityState(db: PrismaClient | Transaction, studyId: string, volunteerId: string) {
  const row = await db.identity.findFirst({ where: { volunteerId, studyId } });
  return {
    revision: row?.revision ?? 0,
    hasName: (row?.nameCipher ?? null) !== null,
    hasContact: (row?.contactCipher ?? null) !== null,
    hasDateOfBirth: (row?.dateOfBirthCipher ?? null) !== null,
    updatedAt: row?.updatedAt.toISOString() ?? null,
  };
}

/** Refuses a text for everybody's eyes (a reason, a note) that holds the name, the contact or the date of birth. */
export async function refuseNaming(
  scope: ReadScope,
  volunteerId: string,
  text: string,
  field: string,
): Promise<void> {
  if (text === "") return;
  const { row, signed } = await readRows(scope, volunteerId);
  const values = decrypt(row, scope.core.identityKeys);
  const names = signed.map((record) => ({ name: record.name }));
  if ([values, ...names].some((identity) => namesPerson(text, identity))) {
    throw new AppError(
      "invalid",
      "This text holds a word of the volunteer's name or contact, or the date of birth. It is kept where others can read it: write the volunteer code instead.",
      { field },
    );
  }
}

async function readRows(scope: ReadScope, volunteerId: string) {
  const where = { studyId: scope.access.studyId, volunteerId };
  // One after the other: within a transaction there is one connection, and it answers one query at a time.
  const row = await scope.db.identity.findFirst({ where });
  const records = await scope.db.consentRecord.findMany({ where, orderBy: { signedAt: "asc" } });
  const signed = records.map((record) => ({
    recordId: record.id,
    signedAt: record.signedAt.toISOString(),
    name: decryptField(
      record.nameAsSignedCipher,
      signedNamePlace(record.id),
      record.keyVersion,
      scope.core.identityKeys,
    ),
  }));
  return { row, signed };
}

async function findVolunteer(scope: ReadScope, volunteerId: string) {
  const volunteer = await scope.db.volunteer.findFirst({
    where: { id: volunteerId, studyId: scope.access.studyId },
    select: { id: true, code: true, birthYear: true },
  });
  if (volunteer === null) throw notFound("volunteer");
  return volunteer;
}

/** The identity of one volunteer, shown on purpose: each call leaves an audit entry with its reason. */
export function revealIdentity(scope: ReadScope, input: z.output<typeof revealIdentityInput>) {
  return writeInStudy(scope, async (write) => {
    const volunteer = await findVolunteer(write, input.volunteerId);
    await refuseNaming(write, volunteer.id, input.reason, "reason");
    const { row, signed } = await readRows(write, volunteer.id);
    return {
      result: {
        revision: row?.revision ?? 0,
        ...decrypt(row, write.core.identityKeys),
        namesAsSigned: signed,
      },
      audit: [
        {
          action: "identity.reveal",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          reason: input.reason,
        },
      ],
    };
  });
}

/** The audit trail learns which fields changed, and from which keyed hash to which, never a value. */
export function saveIdentity(scope: ReadScope, input: z.output<typeof saveIdentityInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access, core, now } = write;
    await db.$queryRaw`select id from volunteer where id = ${input.volunteerId} and study_id = ${access.studyId} for update`;
    const volunteer = await findVolunteer(write, input.volunteerId);
    const row = await db.identity.findFirst({
      where: { volunteerId: volunteer.id, studyId: access.studyId },
    });
    const revision = row?.revision ?? 0;
    if (revision !== input.revision) {
      throw new AppError(
        "changed-meanwhile",
        "Somebody else changed this identity while you were editing. Your text is kept here; show the identity again to see what stands there now, then save again.",
        { details: { current: { revision } } },
      );
    }
    const before = decrypt(row, core.identityKeys);
    const after: IdentityValues = {
      name: input.name ?? before.name,
      contact: input.contact ?? before.contact,
      dateOfBirth: input.dateOfBirth ?? before.dateOfBirth,
    };
    checkDateOfBirth(after.dateOfBirth, volunteer.birthYear, now);
    const fingerprints = (values: IdentityValues) =>
      Object.fromEntries(
        changedFields(before, after).map((field) => [
          fieldNames[field],
          identityFingerprint(values[field], placeOf(volunteer.id, field), core.identityKeys),
        ]),
      );
    const cipher = (field: IdentityField) =>
      after[field] === ""
        ? null
        : encryptField(after[field], placeOf(volunteer.id, field), core.identityKeys);
    const data = {
      nameCipher: cipher("name"),
      contactCipher: cipher("contact"),
      dateOfBirthCipher: cipher("dateOfBirth"),
      keyVersion: core.identityKeys.current,
      revision: revision + 1,
      updatedAt: now,
    };
    await db.identity.upsert({
      where: { volunteerId: volunteer.id },
      create: { volunteerId: volunteer.id, studyId: access.studyId, ...data },
      update: data,
    });
    return {
      result: { revision: revision + 1 },
      audit: [
        {
          action: "identity.save",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          before: fingerprints(before),
          after: fingerprints(after),
        },
      ],
    };
  });
}

function checkDateOfBirth(dateOfBirth: string, birthYear: number | null, now: Date): void {
  if (dateOfBirth === "") return;
  dayNotInFuture(dateOfBirth, now, "dateOfBirth", "The date of birth");
  if (dateOfBirth < "1900-01-01") {
    throw new AppError("invalid", "The date of birth lies before 1900. Check the year.", {
      field: "dateOfBirth",
    });
  }
  if (!agreesWithBirthYear(dateOfBirth, birthYear)) {
    throw new AppError(
      "invalid",
      `The date of birth is not in the birth year of this volunteer (${birthYear}). Correct one of the two.`,
      { field: "dateOfBirth" },
    );
  }
}

/**
 * The identities of all volunteers of the study, for one purpose: that a release can be searched for them before it
 * goes out. They never leave the server, and the reading leaves its audit entry.
 */
export function identitiesForComparison(scope: ReadScope) {
  return writeInStudy(scope, async (write) => {
    const volunteers = await write.db.volunteer.findMany({
      where: { studyId: write.access.studyId },
      select: { id: true, code: true },
      orderBy: { code: "asc" },
    });
    const known = [];
    for (const { id, code } of volunteers) {
      const { row, signed } = await readRows(write, id);
      const { name, contact, dateOfBirth } = decrypt(row, write.core.identityKeys);
      known.push({ code, name, contacts: [contact], birthDate: dateOfBirth });
      for (const record of signed) known.push({ code, name: record.name });
    }
    return {
      result: known,
      audit: [
        {
          action: "identity.search",
          subject: { kind: "study", id: write.access.studyId, label: "all volunteers" },
          after: { volunteers: volunteers.length },
          reason: "A release is searched for identities before it goes out.",
        },
      ],
    };
  });
}
