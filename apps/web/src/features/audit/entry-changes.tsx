import { Disclosure } from "@/components/disclosure";
import type { Outputs } from "@/trpc/outputs";
import classes from "./audit.module.css";
import { type Change, changesOf } from "./changes";

interface EntryChangesProps {
  readonly entry: Pick<Outputs["audit"]["list"]["entries"][number], "before" | "after" | "reason" | "erased">;
}

/** More than this, or longer, would push the entries apart, above all on a narrow screen. */
const most = { values: 3, letters: 240 } as const;

export function EntryChanges({ entry }: EntryChangesProps) {
  if (entry.erased) return <span className={classes.erased}>erased with the volunteer</span>;
  const changes = changesOf(entry.before, entry.after);
  const letters = changes.reduce(
    (sum, { before, after }) => sum + (before ?? "").length + (after ?? "").length,
    0,
  );
  const list = <ChangeList changes={changes} />;
  return (
    <>
      {changes.length > most.values || letters > most.letters ? (
        <Disclosure summary={changes.length === 1 ? (changes[0]?.name ?? "") : `${changes.length} values`}>
          {list}
        </Disclosure>
      ) : (
        changes.length > 0 && list
      )}
      {entry.reason !== null && <p className={classes.reason}>Reason: {entry.reason}</p>}
    </>
  );
}

function ChangeList({ changes }: { readonly changes: readonly Change[] }) {
  return (
    <dl className={classes.changes}>
      {changes.map((change) => (
        <div key={change.name}>
          <dt>{change.name}</dt>
          <dd>
            {change.before !== null && <del>{change.before}</del>}
            {change.before !== null && change.after !== null && " → "}
            {change.after !== null && <ins style={{ textDecoration: "none" }}>{change.after}</ins>}
          </dd>
        </div>
      ))}
    </dl>
  );
}
