import type { Prisma } from "@acral/db";
import { csvRow } from "@acral/release";
import { flatValues } from "../audit/policy";
import type { AuditExportInput, AuditFilter, AuditValues } from "../audit/schema";
import { auditWhere } from "../audit/service";
import { chainHead } from "../audit-chain/service";
import { type ReadScope, writeInStudy } from "../scope";
import { csvHead, type ExportedEntry, entryAsCsv, entryAsJson } from "./policy";

/** So many entries are in memory at a time. */
const batch = 1000;

/**
 * The trail, or what the filters leave of it, as a file, the oldest entry first. That it was handed out is an entry of the
 * trail itself, committed before the first byte; the file ends with the entry before that one.
 *
 * @param actionName what an action is called, for people who read the file
 */
export async function exportAuditTrail(
  scope: ReadScope,
  { format, ...filter }: AuditExportInput,
  actionName: (action: string) => string,
): Promise<{ fileName: string; body: AsyncIterable<Uint8Array> }> {
  const { studyId } = scope.access;
  const where = await auditWhere(scope, filter);
  const upTo = await writeInStudy(scope, async ({ db }) => {
    const upTo = (await chainHead(db, studyId))?.sequence ?? 0;
    const entries = await db.auditEntry.count({ where: { AND: [where, { sequence: { lte: upTo } }] } });
    return {
      result: upTo,
      audit: [
        {
          action: "audit.export",
          subject: { kind: "audit trail", id: studyId, label: `audit trail up to entry ${upTo}` },
          after: { format, entries, ...filterForAudit(filter) },
        },
      ],
    };
  });
  const day = scope.now.toISOString().slice(0, 10);
  return { fileName: `audit-trail-${day}.${format}`, body: linesOf(scope, where, upTo, format, actionName) };
}

/** What was searched for may be a name: the trail says only that something was. */
function filterForAudit({ search, ...filter }: AuditFilter): AuditValues {
  return flatValues({ ...filter, ...(search === undefined ? {} : { searched: true }) });
}

async function* linesOf(
  scope: ReadScope,
  where: Prisma.AuditEntryWhereInput,
  upTo: number,
  format: AuditExportInput["format"],
  actionName: (action: string) => string,
): AsyncGenerator<Uint8Array> {
  if (format === "csv") yield Buffer.from(csvRow(csvHead), "utf8");
  let after = 0;
  for (;;) {
    const rows = await scope.db.auditEntry.findMany({
      where: { AND: [where, { sequence: { gt: after, lte: upTo } }] },
      orderBy: { sequence: "asc" },
      take: batch,
    });
    const last = rows.at(-1);
    if (last === undefined) return;
    const lines = rows.map((row) => {
      const entry: ExportedEntry = { ...row, id: row.id.toString(), at: row.at.toISOString() };
      return format === "csv" ? entryAsCsv(entry, actionName(row.action)) : entryAsJson(entry);
    });
    yield Buffer.from(lines.join(""), "utf8");
    after = last.sequence;
  }
}
