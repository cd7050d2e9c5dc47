import { AppError } from "../app-error";
import type { Permission } from "../consent-form/schema";

/** Decisions as the audit trail tells of them. */
export function decided(decisions: Readonly<Record<string, boolean>>) {
  const keys = (wanted: boolean) => Object.keys(decisions).filter((key) => decisions[key] === wanted);
  return { permitted: keys(true), refused: keys(false) };
}

/** Every permission of the form is decided, one by one, and nothing else. */
export function checkDecisions(asked: readonly Permission[], given: Readonly<Record<string, boolean>>): void {
  const open = asked.filter((item) => given[item.key] === undefined);
  if (open.length > 0) {
    throw new AppError(
      "invalid",
      `Every permission is decided separately. Still open: ${open.map((item) => `“${item.label}”`).join(", ")}`,
      { field: `decisions.${open[0]?.key}`, details: { open: open.map((item) => item.key) } },
    );
  }
  const unknown = Object.keys(given).find((key) => !asked.some((item) => item.key === key));
  if (unknown !== undefined) {
    throw new AppError("invalid", `The consent form does not ask for the permission ${unknown}.`, {
      field: `decisions.${unknown}`,
    });
  }
}
