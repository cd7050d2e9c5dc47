import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  consentAt,
  permissionInForce,
  type SignedRecord,
  storedUseInForce,
  type WithdrawalRecord,
  whyNotUsed,
} from "../src/consent/policy";
import { gatesOf, permittedCount } from "../src/volunteer-standing/policy";
import { takenBack } from "../src/withdrawal/policy";

/** Moments in whole minutes; the order of recording is given apart. */
const at = (minute: number) => new Date(Date.UTC(2026, 2, 14, 9, minute));

const permissions = [
  { key: "take-part", label: "Take part.", required: true },
  { key: "record-thermal-images", label: "Record.", required: true },
  { key: "share-anonymised-numbers", label: "Share.", required: false },
];

function record(minute: number, decisions: Record<string, boolean>, recorded = minute): SignedRecord {
  return {
    recordId: `signed ${minute}, recorded ${recorded}`,
    signedAt: at(minute),
    recordedAt: at(recorded),
    decisions,
    permissions,
  };
}

const withdrawal = (
  minute: number,
  permission: string | null,
  recorded = minute,
  effect: WithdrawalRecord["effect"] = "exclude",
): WithdrawalRecord => ({
  permission,
  effect,
  effectiveAt: at(minute),
  recordedAt: at(recorded),
});

const all = { "take-part": true, "record-thermal-images": true, "share-anonymised-numbers": true };
const share = "share-anonymised-numbers";

describe("a permission at a moment", () => {
  it("is not given while nothing is signed, nor before the signing", () => {
    expect(permissionInForce([], [], share, at(5))).toMatchObject({ allowed: false, why: "nothing signed" });
    expect(permissionInForce([record(6, all)], [], share, at(5))).toMatchObject({ why: "nothing signed" });
    expect(permissionInForce([record(5, all)], [], share, at(5))).toEqual({
      allowed: true,
      recordId: "signed 5, recorded 5",
      since: at(5),
    });
  });

  it("is decided by the latest record alone, also when an older one said otherwise or asked for more", () => {
    const older = record(1, all);
    expect(permissionInForce([older, record(2, { ...all, [share]: false })], [], share, at(9))).toMatchObject(
      {
        why: "refused",
      },
    );
    const { [share]: _, ...less } = all;
    expect(permissionInForce([record(2, less), older], [], share, at(9))).toMatchObject({ why: "not asked" });
    expect(permissionInForce([record(2, less), older], [], share, at(1)).allowed).toBe(true);
  });

  it("ends with the withdrawal of itself or of all, from that moment on, and not of another", () => {
    const records = [record(1, all)];
    expect(permissionInForce(records, [withdrawal(4, share)], share, at(3)).allowed).toBe(true);
    expect(permissionInForce(records, [withdrawal(4, share)], share, at(4))).toMatchObject({
      why: "withdrawn",
      since: at(4),
    });
    expect(permissionInForce(records, [withdrawal(4, null)], share, at(5)).allowed).toBe(false);
    expect(permissionInForce(records, [withdrawal(4, "keep-images")], share, at(5)).allowed).toBe(true);
  });

  it("comes back with a consent signed after the withdrawal, and not with one signed before it", () => {
    const withdrawn = [withdrawal(4, null)];
    expect(permissionInForce([record(1, all), record(5, all)], withdrawn, share, at(6)).allowed).toBe(true);
    expect(permissionInForce([record(1, all), record(3, all, 9)], withdrawn, share, at(10)).allowed).toBe(
      false,
    );
  });

  it("counts entries of the same moment in the order in which they were recorded", () => {
    expect(permissionInForce([record(4, all, 5)], [withdrawal(4, share, 6)], share, at(9)).allowed).toBe(
      false,
    );
    expect(permissionInForce([record(4, all, 7)], [withdrawal(4, share, 6)], share, at(9)).allowed).toBe(
      true,
    );
  });

  it("to take part needs every permission that the signed form requires", () => {
    const refused = [record(1, { ...all, "record-thermal-images": false })];
    expect(permissionInForce(refused, [], "take-part", at(2))).toMatchObject({ why: "required refused" });
    expect(permissionInForce(refused, [], share, at(2)).allowed).toBe(true);
    const taken = [withdrawal(3, "record-thermal-images")];
    expect(permissionInForce([record(1, all)], taken, "take-part", at(3))).toMatchObject({
      why: "required withdrawn",
    });
    expect(permissionInForce([record(1, all)], [withdrawal(3, share)], "take-part", at(3)).allowed).toBe(
      true,
    );
  });

  it("does not take a name from JavaScript's own objects for a decision", () => {
    expect(permissionInForce([record(1, all)], [], "constructor", at(2))).toMatchObject({ why: "not asked" });
  });
});

type Event =
  | { kind: "sign"; minute: number; granted: boolean }
  | { kind: "withdraw"; minute: number; permission: string | null };

const minute = fc.integer({ min: 0, max: 12 });
const anyEvent: fc.Arbitrary<Event> = fc.oneof(
  fc.record({ kind: fc.constant("sign" as const), minute, granted: fc.boolean() }),
  fc.record({
    kind: fc.constant("withdraw" as const),
    minute,
    permission: fc.constantFrom(share, null, "keep-images"),
  }),
);

/** The n-th event of the list was recorded as the n-th. */
function split(events: readonly Event[]) {
  const records: SignedRecord[] = [];
  const withdrawals: WithdrawalRecord[] = [];
  events.forEach((event, index) => {
    if (event.kind === "sign")
      records.push(record(event.minute, { ...all, [share]: event.granted }, 20 + index));
    else withdrawals.push(withdrawal(event.minute, event.permission, 20 + index));
  });
  return { records, withdrawals };
}

/** The same question told as a story: play the events in the order of their effect and keep the last word. */
function lastWord(events: readonly Event[], moment: number): boolean {
  let allowed = false;
  const inOrder = events
    .map((event, index) => ({ event, index }))
    .filter(({ event }) => event.minute <= moment)
    .sort((a, b) => a.event.minute - b.event.minute || a.index - b.index);
  for (const { event } of inOrder) {
    if (event.kind === "sign") allowed = event.granted;
    else if (event.permission === null || event.permission === share) allowed = false;
  }
  return allowed;
}

describe("a permission over many orders of events", () => {
  it("is what the last word up to the moment says", () => {
    fc.assert(
      fc.property(fc.array(anyEvent, { maxLength: 12 }), minute, (events, moment) => {
        const { records, withdrawals } = split(events);
        expect(permissionInForce(records, withdrawals, share, at(moment)).allowed).toBe(
          lastWord(events, moment),
        );
      }),
      { numRuns: 2000 },
    );
  });

  it("does not depend on the order in which rows are read", () => {
    fc.assert(
      fc.property(
        fc.array(anyEvent, { maxLength: 10 }),
        minute,
        fc.infiniteStream(fc.nat()),
        (events, moment, keys) => {
          const { records, withdrawals } = split(events);
          const shuffled = <T>(rows: readonly T[]) =>
            rows
              .map((row) => ({ row, key: keys.next().value ?? 0 }))
              .sort((a, b) => a.key - b.key)
              .map(({ row }) => row);
          expect(permissionInForce(shuffled(records), shuffled(withdrawals), share, at(moment))).toEqual(
            permissionInForce(records, withdrawals, share, at(moment)),
          );
        },
      ),
    );
  });

  it("is not changed by anything that takes effect later", () => {
    fc.assert(
      fc.property(fc.array(anyEvent, { maxLength: 12 }), minute, (events, moment) => {
        const early = split(events.filter((event) => event.minute <= moment));
        const { records, withdrawals } = split(events);
        expect(permissionInForce(records, withdrawals, share, at(moment)).allowed).toBe(
          permissionInForce(early.records, early.withdrawals, share, at(moment)).allowed,
        );
      }),
    );
  });
});

describe("the effect of a withdrawal on what is stored", () => {
  const records = [record(1, all)];
  const stop = (minute: number, permission: string | null) => withdrawal(minute, permission, minute, "stop");

  it("stop only leaves the use of what was stored by then, and exclude ends it; both stop what is new", () => {
    for (const taken of [stop(4, null), withdrawal(4, null)]) {
      expect(permissionInForce(records, [taken], "take-part", at(5)).allowed).toBe(false);
      expect(storedUseInForce(records, [taken], "take-part", at(5)).allowed).toBe(taken.effect === "stop");
    }
    const use = storedUseInForce(records, [stop(4, null)], "take-part", at(5));
    expect(use).toMatchObject({ allowed: true, storedBy: at(4) });
    expect(whyNotUsed(use, at(4))).toBeNull();
    expect(whyNotUsed(use, at(5))).toMatch(/nothing was to be added/);
    expect(whyNotUsed(storedUseInForce(records, [], "take-part", at(5)), at(9))).toBeNull();
  });

  it("of what taking part requires counts from the first stop on, and an exclusion of any of it ends all use", () => {
    const stops = [stop(6, null), stop(4, "record-thermal-images")];
    expect(storedUseInForce(records, stops, "take-part", at(7))).toMatchObject({ storedBy: at(4) });
    const excluded = [...stops, withdrawal(8, "record-thermal-images")];
    expect(storedUseInForce(records, excluded, "take-part", at(7)).allowed).toBe(true);
    expect(storedUseInForce(records, excluded, "take-part", at(8))).toMatchObject({
      allowed: false,
      why: "required withdrawn",
    });
  });

  it("is over with a consent that is signed later, which decides alone", () => {
    const again = [...records, record(6, all)];
    const decision = storedUseInForce(again, [stop(4, null)], "take-part", at(7));
    expect(decision).toMatchObject({ allowed: true, storedBy: null });
    expect(
      storedUseInForce([...records, record(6, { ...all, "take-part": false })], [], "take-part", at(7)),
    ).toMatchObject({
      why: "refused",
    });
  });

  it("never leaves less than what is permitted anew, whatever happened", () => {
    fc.assert(
      fc.property(
        fc.array(anyEvent, { maxLength: 12 }),
        minute,
        fc.infiniteStream(fc.boolean()),
        (events, moment, stops) => {
          const told = split(events);
          const withdrawals = told.withdrawals.map((taken) => ({
            ...taken,
            effect: stops.next().value === true ? ("stop" as const) : ("exclude" as const),
          }));
          const now = permissionInForce(told.records, withdrawals, share, at(moment));
          const use = storedUseInForce(told.records, withdrawals, share, at(moment));
          if (now.allowed) expect(use).toMatchObject({ allowed: true, storedBy: null });
          else if (use.allowed) expect(use.storedBy).not.toBeNull();
        },
      ),
    );
  });

  it("can be made stricter later, and takes nothing twice", () => {
    const stopped = [stop(4, null)];
    expect(takenBack(records, stopped, [share], "stop", at(5))).toEqual([]);
    expect(takenBack(records, stopped, [share], "exclude", at(5))).toEqual([share]);
    expect(takenBack(records, [withdrawal(4, null)], [share], "exclude", at(5))).toEqual([]);
  });

  it("shuts the gates that it concerns, each with its reason", () => {
    const shut = (withdrawals: readonly WithdrawalRecord[], signed = records) =>
      gatesOf(consentAt(signed, withdrawals, at(9)))
        .filter((gate) => gate.shut !== null)
        .map((gate) => gate.what);
    expect(shut([])).toEqual([]);
    expect(shut([stop(4, null)])).toEqual(["record", "release"]);
    expect(shut([withdrawal(4, null)])).toEqual(["record", "use", "release"]);
    expect(shut([stop(4, share)])).toEqual(["release"]);
    expect(shut([withdrawal(4, share)])).toEqual(["release"]);
    expect(shut([stop(4, "record-thermal-images")])).toEqual(["record"]);
    expect(shut([withdrawal(4, "record-thermal-images")])).toEqual(["record", "use", "release"]);
    expect(shut([], [])).toEqual(["record", "use", "release"]);
    expect(permittedCount(consentAt(records, [stop(4, share)], at(9)))).toEqual({ permitted: 2, asked: 3 });
  });
});
