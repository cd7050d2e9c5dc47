import { type SeededRandom, seededRandom } from "../seeded-random";
import type { PermissionKey, ResponseKind, SimulatedVolunteer, SimulatedWithdrawal } from "../types";

/** Invented names, all of them words of the sea, so that nobody takes them for real people. */
const givenNames = {
  female: [
    "Marla",
    "Ines",
    "Oda",
    "Tamsin",
    "Bryony",
    "Signe",
    "Coralie",
    "Petra",
    "Wenna",
    "Lioba",
    "Runa",
    "Della",
  ],
  male: [
    "Tobin",
    "Anselm",
    "Jory",
    "Fennick",
    "Caspian",
    "Olin",
    "Bertil",
    "Davit",
    "Merrick",
    "Hale",
    "Sixten",
    "Corin",
  ],
} as const;
const familyNames = [
  "Driftwood",
  "Saltmarsh",
  "Bowline",
  "Spindrift",
  "Kelpie",
  "Sandbar",
  "Halyard",
  "Tidewater",
  "Oarlock",
  "Seaholly",
  "Foghorn",
  "Breakwater",
  "Shingle",
  "Mudlark",
  "Coxswain",
  "Lanyard",
  "Eelgrass",
  "Windlass",
  "Gunwale",
  "Pebblebeach",
  "Rockpool",
  "Marlinspike",
  "Slipway",
  "Bollard",
] as const;

export const largestStudy = familyNames.length;

/** When the last consent is signed and when the first trial may take place. */
const firstSigningDay = Date.parse("2025-02-10T17:00:00Z");
const dayMs = 86_400_000;

/** How volunteers end that did not go through all four visits with all permissions. */
export interface Special {
  /** Took everything back after the second visit; visits three and four did not take place. */
  readonly withdrewMidway: number | null;
  /** Took everything back after the last visit. */
  readonly withdrewAfterwards: number | null;
  /** Took back the permission to share after the last visit. */
  readonly stoppedSharing: number | null;
  /** Never permitted sharing. */
  readonly neverSharing: readonly number[];
  /** Ill on the day of one visit. */
  readonly ill: number | null;
  /** Asked to stop during one visit. */
  readonly askedToStop: number | null;
}

export function chooseSpecial(seed: number, count: number): Special {
  const order = seededRandom(seed, "special volunteers").shuffled(Array.from({ length: count }, (_, i) => i));
  const pick = (at: number): number | null => (count >= 12 ? (order[at] ?? null) : null);
  return {
    withdrewMidway: pick(0),
    withdrewAfterwards: pick(1),
    stoppedSharing: pick(2),
    neverSharing: count >= 12 ? order.slice(3, 6) : [],
    ill: pick(6),
    askedToStop: pick(7),
  };
}

/** Fifteen of 24 fall and rewarm, six only fall, three hardly change; other numbers in proportion. */
export function plantResponses(seed: number, count: number): ResponseKind[] {
  const rewarming = Math.round((count * 15) / 24);
  const falling = Math.round((count * 6) / 24);
  const kinds = Array.from(
    { length: count },
    (_, i): ResponseKind =>
      i < rewarming
        ? "falls then rewarms"
        : i < rewarming + falling
          ? "falls without rewarming"
          : "hardly falls",
  );
  return seededRandom(seed, "responses").shuffled(kinds);
}

export function drawVolunteers(seed: number, count: number, special: Special): SimulatedVolunteer[] {
  const random = seededRandom(seed, "people");
  const surnames = random.shuffled(familyNames);
  const sexes = random.shuffled(
    Array.from({ length: count }, (_, i): "female" | "male" => (i % 2 === 0 ? "female" : "male")),
  );
  const names = { female: random.shuffled(givenNames.female), male: random.shuffled(givenNames.male) };
  const used = { female: 0, male: 0 };

  return sexes.map((sex, index) => {
    const given = names[sex][used[sex] % names[sex].length] ?? "Nobody";
    used[sex] += 1;
    const family = surnames[index] ?? "Nowhere";
    const birthYear = 2025 - 19 - random.integer(44);
    const heightCm = Math.round(2 * ((sex === "female" ? 168 : 181) + 6 * bounded(random.normal()))) / 2;
    const massIndex = 23.6 + 2.2 * bounded(random.normal());
    const month = 1 + random.integer(12);
    const day = 1 + random.integer(28);
    return {
      sex,
      birthYear,
      heightCm,
      massKg: Math.round(10 * massIndex * (heightCm / 100) * (heightCm / 100)) / 10,
      identity: {
        name: `${given} ${family}`,
        contact: `${given}.${family}@example.org`.toLowerCase(),
        dateOfBirth: `${birthYear}-${two(month)}-${two(day)}`,
      },
      decisions: decide(random, special.neverSharing.includes(index)),
      signedAt: new Date(
        firstSigningDay + Math.floor(index / 3) * dayMs + (index % 3) * 1_200_000,
      ).toISOString(),
      withdrawal: withdrawal(index, special),
    };
  });
}

function decide(random: SeededRandom, neverShares: boolean): Record<PermissionKey, boolean> {
  const share: Record<PermissionKey, number> = {
    "take part": 1,
    "record thermal images of unclothed skin": 1,
    "keep images": 0.85,
    "show images in teaching": 0.6,
    "show images in public": 0.35,
    "share anonymised numbers": neverShares ? 0 : 1,
    "be contacted again": 0.75,
  };
  const permits = (key: PermissionKey): boolean => random.uniform() < share[key];
  return {
    "take part": permits("take part"),
    "record thermal images of unclothed skin": permits("record thermal images of unclothed skin"),
    "keep images": permits("keep images"),
    "show images in teaching": permits("show images in teaching"),
    "show images in public": permits("show images in public"),
    "share anonymised numbers": permits("share anonymised numbers"),
    "be contacted again": permits("be contacted again"),
  };
}

function withdrawal(index: number, special: Special): SimulatedWithdrawal | null {
  if (index === special.withdrewMidway) {
    return {
      scope: "all",
      at: "2025-03-15T09:20:00.000Z",
      reason: "Moved away and no longer wants to take part",
    };
  }
  if (index === special.withdrewAfterwards) {
    return { scope: "all", at: "2025-04-07T18:05:00.000Z", reason: "No reason given" };
  }
  if (index === special.stoppedSharing) {
    return {
      scope: "share anonymised numbers",
      at: "2025-04-02T12:40:00.000Z",
      reason: "Does not want the numbers to leave the club",
    };
  }
  return null;
}

function two(n: number): string {
  return String(n).padStart(2, "0");
}

function bounded(deviate: number): number {
  return Math.min(2, Math.max(-2, deviate));
}
