/** A reference of the database: rows of the child name a row of the parent. */
export interface Reference {
  readonly child: string;
  readonly column: string;
  readonly parent: string;
  readonly parentColumn: string;
}

/** Rows of one table that belong to what is erased; `where` has `$1` for the identifier of the root. */
export interface OwnedRows {
  readonly table: string;
  readonly where: string;
}

/**
 * What stays of a volunteer beside the tombstone: which releases hold the data, which is asked after an erasure, and that the
 * erasure happened.
 */
export const keptAfterErasure: readonly string[] = ["release_volunteer", "erasure"];

/**
 * Everything that hangs on a root, along all references, children before their parents: in this order rows can be deleted.
 * A table that is added one day is erased without anybody having to think of it.
 *
 * @param rootWhere which rows of the root are meant, with `$1`
 * @throws Error when references between tables run in a circle
 */
export function ownedRows(
  references: readonly Reference[],
  root: string,
  rootWhere: string,
  kept: readonly string[] = keptAfterErasure,
): OwnedRows[] {
  const own = references.filter(({ child, parent }) => child !== parent && !kept.includes(child));
  const reached = new Set<string>();
  const order: string[] = [];
  const visit = (table: string, path: readonly string[]): void => {
    if (path.includes(table)) throw new Error(`references run in a circle: ${[...path, table].join(" → ")}`);
    if (reached.has(table)) return;
    for (const { child, parent } of own) if (parent === table) visit(child, [...path, table]);
    reached.add(table);
    order.push(table);
  };
  visit(root, []);
  const whereOf = (table: string): string =>
    table === root
      ? rootWhere
      : own
          .filter(({ child, parent }) => child === table && reached.has(parent))
          .map(
            ({ column, parent, parentColumn }) =>
              `"${column}" in (select "${parentColumn}" from "${parent}" where ${whereOf(parent)})`,
          )
          .join(" or ");
  return order.filter((table) => table !== root).map((table) => ({ table, where: whereOf(table) }));
}

/** What people call the tables, where an erasure says how much it removes. */
export const removedNames: Readonly<Record<string, string>> = {
  trial: "trials",
  source_file: "source files",
  trace: "traces",
  body_measures: "body measures",
  preference: "preferences",
  screening_record: "screening answers",
  screening_clearance: "clearances",
  consent_record: "consent records",
  withdrawal: "withdrawals",
};
