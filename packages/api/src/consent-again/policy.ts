import type { Permission } from "../consent-form/schema";

export interface FormDifference {
  /** Permissions of the newer form that the older one did not ask for. */
  readonly notAsked: readonly string[];
  /** Permissions that both ask for in other words: the older consent covers what it said. */
  readonly reworded: readonly { readonly was: string; readonly is: string }[];
  /** Permissions that taking part needs by the newer form and did not need by the older one. */
  readonly nowRequired: readonly string[];
  /** Permissions that the newer form asks for no longer. */
  readonly dropped: readonly string[];
}

/** What a newer consent form asks for beyond what was signed. */
export function differenceBetween(
  signed: readonly Permission[],
  newer: readonly Permission[],
): FormDifference {
  const before = new Map(signed.map((item) => [item.key, item]));
  const kept = newer.flatMap((is) => {
    const was = before.get(is.key);
    return was === undefined ? [] : [{ was, is }];
  });
  return {
    notAsked: newer.filter(({ key }) => !before.has(key)).map(({ label }) => label),
    reworded: kept
      .filter(({ was, is }) => was.label !== is.label)
      .map(({ was, is }) => ({ was: was.label, is: is.label })),
    nowRequired: kept.filter(({ was, is }) => is.required && !was.required).map(({ is }) => is.label),
    dropped: signed.filter(({ key }) => !newer.some((item) => item.key === key)).map(({ label }) => label),
  };
}
