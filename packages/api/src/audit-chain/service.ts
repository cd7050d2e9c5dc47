import type { Database, PrismaClient } from "@acral/db";
import type { AuditDraft } from "../audit/schema";
import type { Transaction, WriteScope } from "../scope";
import { type ChainFault, ChainWalk } from "./policy";
import { type Anchor, chainedEntry, eraseValuesAction, outsideChain } from "./schema";

export interface VerifiedChain {
  readonly chain: string;
  /** The study's title; null outside of studies, and for a study that does not exist. */
  readonly title: string | null;
  readonly entries: number;
  readonly faults: number;
  /** What to note, so that a later verification finds whether the end was cut; null when there is no entry. */
  readonly head: Anchor | null;
}

export interface VerifyReport {
  onFault(chain: string, fault: ChainFault): void;
  onChain(chain: VerifiedChain): void;
}

/** So many entries are in memory at a time. */
const batch = 1000;
/** A long trail on a slow disk takes its time, and nobody waits for this transaction. */
const patienceMs = 24 * 60 * 60 * 1000;

/** Walks along every chain, and along those that an anchor names and that are gone. Writes nothing. */
export async function verifyChains(
  database: Database,
  anchors: readonly Anchor[],
  report: VerifyReport,
): Promise<void> {
  const found = await database.prisma.$queryRaw<{ chain: string }[]>`
    select chain from audit_chain_head
    union select coalesce(study_id, ${outsideChain}) from audit_entry
    order by chain`;
  const chains = new Set([...found.map(({ chain }) => chain), ...anchors.map(({ chain }) => chain)]);
  for (const chain of chains) {
    const own = anchors.filter((anchor) => anchor.chain === chain);
    report.onChain(await verifyChain(database.prisma, chain, own, report));
  }
}

function verifyChain(
  prisma: PrismaClient,
  chain: string,
  anchors: readonly Anchor[],
  report: VerifyReport,
): Promise<VerifiedChain> {
  return prisma.$transaction(
    async (db) => {
      const walk = new ChainWalk(anchors);
      let faults = 0;
      const tell = (found: readonly ChainFault[]) => {
        faults += found.length;
        for (const fault of found) report.onFault(chain, fault);
      };
      await openCursor(db, chain);
      for (;;) {
        const rows = await db.$queryRawUnsafe<unknown[]>(`fetch ${batch} from chain_to_verify`);
        for (const row of rows) tell(walk.next(chainedEntry.parse(row)));
        if (rows.length < batch) break;
      }
      const head = await db.auditChainHead.findUnique({ where: { chain } });
      tell(walk.end(head));
      const study = await db.study.findUnique({ where: { id: chain }, select: { title: true } });
      return {
        chain,
        title: study?.title ?? null,
        entries: walk.entries,
        faults,
        head: head === null ? null : { chain, sequence: head.sequence, hash: head.hash },
      };
    },
    // One snapshot for entries and head: others go on writing meanwhile.
    { isolationLevel: "RepeatableRead", timeout: patienceMs },
  );
}

/** The texts that are hashed are made by the database: JSON numbers and moments have more than one way to be written. */
async function openCursor(db: Transaction, chain: string): Promise<void> {
  // A cursor takes no parameters; a setting of this transaction carries the study.
  await db.$queryRaw`select set_config('acral.chain', ${chain}, true)`;
  const where = chain === outsideChain ? "study_id is null" : "study_id = current_setting('acral.chain')";
  await db.$executeRawUnsafe(
    `declare chain_to_verify no scroll cursor for
     select id::text as "id", study_id as "studyId", sequence, to_char(at at time zone 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"') as "at",
       actor_id as "actorId", actor_name as "actorName", action, subject_kind as "subjectKind", subject_id as "subjectId",
       subject_label as "subjectLabel", volunteer_id as "volunteerId", before::text as "before", after::text as "after", reason,
       previous_hash as "previousHash", hash, values_digest as "valuesDigest", values_salt as "valuesSalt"
     from audit_entry where ${where} order by sequence, id`,
  );
}

/**
 * The head of a study's chain: noted outside of the database, it shows later whether the trail was cut or rewritten. Null
 * as long as the study has no entry.
 */
export async function chainHead(db: Transaction | PrismaClient, studyId: string): Promise<Anchor | null> {
  const head = await db.auditChainHead.findUnique({ where: { chain: studyId } });
  return head === null ? null : { chain: studyId, sequence: head.sequence, hash: head.hash };
}

/**
 * Takes what the entries about one volunteer say of before, after and reason, for good: a part of erasing the volunteer.
 * Who did what and when stays, and the chain holds. The draft that is returned must be among the entries of the same
 * transaction: `npm run audit:verify` reports values that went without it.
 */
export async function eraseAuditValues(
  { db, access }: Pick<WriteScope, "db"> & { readonly access: { readonly studyId: string } },
  volunteer: { readonly id: string; readonly code: string },
): Promise<AuditDraft> {
  const entries = await db.$executeRaw`
    update audit_entry set before = null, after = null, reason = null, values_salt = null
    where study_id = ${access.studyId} and volunteer_id = ${volunteer.id} and values_salt is not null`;
  return {
    action: eraseValuesAction,
    subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code, volunteerId: volunteer.id },
    after: { entries },
  };
}
