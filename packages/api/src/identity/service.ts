import {
  decryptField,
  encryptField,
  type IdentityKeyring,
  identityFingerprint,
  identityRole,
  identitySearchHash,
  type Prisma,
  searchTerms,
  usualRole,
} from "@acral/db";
import type { z } from "zod";
import { AppError, notFound } from "../app-error";
import type { Core } from "../core";
import { newId } from "../identifiers";
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
import type { findIdentityInput, revealIdentityInput, saveIdentityInput } from "./schema";

/**
 * The one place that reads identity. Values leave it only through `revealIdentity`, which writes an audit entry at each
 * reading, and through a volunteer's own data; everything else here compares, and answers without a value.
 */

/** What reading and writing identity needs of a scope. */
type IdentityScope = Pick<ReadScope, "db"> & {
  readonly core: Pick<Core, "database" | "identityKeys">;
  readonly access: { readonly studyId: string };
};

/**
 * Runs the statements in the database role that has rights on the identity tables, and leaves it again: everything else of
 * the transaction is refused there by the database itself.
 */
export function inIdentityRole<T>(
  { db, core }: { readonly db: ReadScope["db"]; readonly core: Pick<Core, "database"> },
  work: (db: Transaction) => Promise<T>,
): Promise<T> {
  return db === core.database.prisma
    ? core.database.prisma.$transaction((transaction) => takingRole(transaction, core, work))
    : takingRole(db, core, work);
}

async function takingRole<T>(
  db: Transaction,
  core: Pick<Core, "database">,
  work: (db: Transaction) => Promise<T>,
): Promise<T> {
  if (core.database.role() === null) return work(db);
  await db.$executeRawUnsafe(`set local role ${identityRole}`);
  const leave = () => db.$executeRawUnsafe(`set local role ${usualRole}`);
  let result: T;
  try {
    result = await work(db);
  } catch (error) {
    // When a statement failed the transaction is over, and the database says so to this one as well.
    await leave().catch(() => undefined);
    throw error;
  }
  await leave();
  return result;
}

/** The keys to encrypt with now. The version is held until the commit: a rotation that begins waits for it. */
export async function keysForWriting({
  db,
  core,
}: {
  readonly db: Transaction;
  readonly core: Pick<Core, "identityKeys">;
}) {
  const [state] = await db.$queryRaw<{ version: number }[]>`
    select current_version as version from identity_key_state where id = 1 for share`;
  if (state === undefined) throw new Error("The database says nothing of the version of the identity key.");
  return core.identityKeys.at(state.version);
}

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

function decrypt(row: Row | null, keyring: IdentityKeyring): IdentityValues {
  const value = (field: IdentityField): string => {
    const cipher = row?.[columns[field]] ?? null;
    return row === null || cipher === null
      ? ""
      : decryptField(cipher, placeOf(row.volunteerId, field), row.keyVersion, keyring.at(row.keyVersion));
  };
  return { name: value("name"), contact: value("contact"), dateOfBirth: value("dateOfBirth") };
}

const signedNamePlace = (recordId: string) => ({
  table: "consent_record",
  field: "name_as_signed",
  rowId: recordId,
});

/** Keeps the name as signed on a consent form, encrypted for its record, which is there already. */
export async function keepSignedName(
  write: IdentityScope & { readonly db: Transaction },
  record: { readonly recordId: string; readonly volunteerId: string; readonly name: string },
): Promise<void> {
  const keys = await keysForWriting(write);
  await inIdentityRole(write, async (db) => {
    await db.signedName.create({
      data: {
        consentRecordId: record.recordId,
        studyId: write.access.studyId,
        volunteerId: record.volunteerId,
        nameCipher: encryptField(record.name, signedNamePlace(record.recordId), keys),
        keyVersion: keys.current,
      },
    });
  });
  await storeSearchHashes(write, record.volunteerId);
}

/** What the volunteer is found by, made anew from the name, the contact and the names as signed. */
export async function storeSearchHashes(
  write: IdentityScope & { readonly db: Transaction },
  volunteerId: string,
): Promise<void> {
  const { studyId } = write.access;
  const keys = await keysForWriting(write);
  const { row, signed } = await readRows(write, volunteerId);
  const { name, contact } = decrypt(row, write.core.identityKeys);
  const terms = [...searchTerms(name, contact), ...signed.flatMap((record) => searchTerms(record.name, ""))];
  await inIdentityRole(write, async (db) => {
    await db.identitySearchHash.deleteMany({ where: { studyId, volunteerId } });
    await db.identitySearchHash.createMany({
      data: [...new Set(terms)].map((term) => ({
        id: newId(),
        studyId,
        volunteerId,
        hash: identitySearchHash(term, studyId, keys),
        keyVersion: keys.current,
      })),
    });
  });
}

/** Which fields are entered, without their values. */
export async function identityState(scope: ReadScope, volunteerId: string) {
  const { studyId } = scope.access;
  const row = await inIdentityRole(scope, (db) => db.identity.findFirst({ where: { volunteerId, studyId } }));
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
  scope: IdentityScope,
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

async function readRows(scope: IdentityScope, volunteerId: string) {
  const where = { studyId: scope.access.studyId, volunteerId };
  // One after the other: within a transaction there is one connection, and it answers one query at a time.
  const { row, names } = await inIdentityRole(scope, async (db) => ({
    row: await db.identity.findFirst({ where }),
    names: await db.signedName.findMany({
      where,
      include: { consentRecord: { select: { signedAt: true } } },
      orderBy: { consentRecord: { signedAt: "asc" } },
    }),
  }));
  const signed = names.map((record) => ({
    recordId: record.consentRecordId,
    signedAt: record.consentRecord.signedAt.toISOString(),
    name: decryptField(
      record.nameCipher,
      signedNamePlace(record.consentRecordId),
      record.keyVersion,
      scope.core.identityKeys.at(record.keyVersion),
    ),
  }));
  return { row, signed };
}

/** The identity of one volunteer in clear. Whoever calls this writes the audit entry of the reading. */
export async function identityInClear(scope: IdentityScope, volunteerId: string) {
  const { row, signed } = await readRows(scope, volunteerId);
  return { ...decrypt(row, scope.core.identityKeys), namesAsSigned: signed };
}

/** A tombstone stays as it is: nothing is shown of it, and nothing entered about it. */
export function requireNotErased(volunteer: { readonly code: string; readonly erasedAt: Date | null }): void {
  if (volunteer.erasedAt === null) return;
  throw new AppError(
    "wrong-state",
    `Volunteer ${volunteer.code} was erased on ${volunteer.erasedAt.toISOString().slice(0, 10)}. Nothing is kept about this person any more, and nothing can be entered.`,
  );
}

async function findVolunteer(scope: ReadScope, volunteerId: string) {
  const volunteer = await scope.db.volunteer.findFirst({
    where: { id: volunteerId, studyId: scope.access.studyId },
    select: { id: true, code: true, birthYear: true, erasedAt: true },
  });
  if (volunteer === null) throw notFound("volunteer");
  requireNotErased(volunteer);
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
    const row = await inIdentityRole(write, (identityDb) =>
      identityDb.identity.findFirst({ where: { volunteerId: volunteer.id, studyId: access.studyId } }),
    );
    const keys = await keysForWriting(write);
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
          identityFingerprint(values[field], placeOf(volunteer.id, field), keys),
        ]),
      );
    const cipher = (field: IdentityField) =>
      after[field] === "" ? null : encryptField(after[field], placeOf(volunteer.id, field), keys);
    const data = {
      nameCipher: cipher("name"),
      contactCipher: cipher("contact"),
      dateOfBirthCipher: cipher("dateOfBirth"),
      keyVersion: keys.current,
      revision: revision + 1,
      updatedAt: now,
    };
    await inIdentityRole(write, (identityDb) =>
      identityDb.identity.upsert({
        where: { volunteerId: volunteer.id },
        create: { volunteerId: volunteer.id, studyId: access.studyId, ...data },
        update: data,
      }),
    );
    await storeSearchHashes(write, volunteer.id);
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

/** So many searches by one person in one study, within so long. */
const searchLimit = { times: 20, withinMs: 10 * 60_000 } as const;

/**
 * The codes of the volunteers whose name, name as signed, or contact is exactly the text. Nothing of an identity is decrypted,
 * and the text is not kept: the audit trail has its keyed hash, by which two searches for one text are known as such.
 */
export function findByIdentity(scope: ReadScope, input: z.output<typeof findIdentityInput>) {
  return writeInStudy(scope, async (write) => {
    const { db, access, core, now } = write;
    const { studyId } = access;
    // One at a time for each person, so that many searches at once are counted like as many after each other.
    await db.$queryRaw`select pg_advisory_xact_lock(hashtextextended(${`identity.find ${studyId} ${access.actor.userId}`}, 0)) is null as held`;
    const recent = await db.auditEntry.count({
      where: {
        studyId,
        actorId: access.actor.userId,
        action: "identity.find",
        at: { gt: new Date(now.getTime() - searchLimit.withinMs) },
      },
    });
    if (recent >= searchLimit.times) {
      throw new AppError(
        "not-allowed",
        `You searched ${searchLimit.times} times within ten minutes. Wait a few minutes, then search again; each search is in the audit trail.`,
      );
    }
    const current = await keysForWriting(write);
    // While a rotation is under way some are still found by the key before.
    const versions = [...core.identityKeys.versions().keys()];
    const hashes = versions.map((version) => ({
      keyVersion: version,
      hash: identitySearchHash(input.text, studyId, core.identityKeys.at(version)),
    }));
    const found = await inIdentityRole(write, (identityDb) =>
      identityDb.identitySearchHash.findMany({
        where: { studyId, OR: hashes },
        select: { volunteerId: true },
        distinct: ["volunteerId"],
      }),
    );
    const volunteers = await db.volunteer.findMany({
      where: { studyId, id: { in: found.map(({ volunteerId }) => volunteerId) } },
      select: { id: true, code: true },
      orderBy: { code: "asc" },
    });
    const hash = Buffer.from(identitySearchHash(input.text, studyId, current)).toString("hex");
    return {
      result: { volunteers: volunteers.map(({ id, code }) => ({ volunteerId: id, code })) },
      audit: [
        {
          action: "identity.find",
          subject: { kind: "study", id: studyId, label: "all volunteers" },
          after: { searchedFor: `${current.current}:${hash}`, found: volunteers.map(({ code }) => code) },
        },
      ],
    };
  });
}
