import type { TimeBase } from "@acral/analysis/course";
import type { DisclosureRule } from "./disclosure-rule";
import type { RandomSource } from "./random-source";

export type PhaseKind = "rest" | "exercise" | "recovery";

export type TraceTarget =
  | { readonly kind: "region"; readonly regionId: string; readonly statistic: string }
  | { readonly kind: "channel"; readonly channel: string };

export interface StudyToRelease {
  readonly title: string;
  readonly summary: string;
}

export interface Licence {
  /** Identifier of the licence, e.g. `CC-BY-4.0`. */
  readonly name: string;
  readonly title: string;
  /** Address of its text. */
  readonly path: string;
}

export interface ReleaseFacts {
  /** 1, 2, 3 ... within the study. */
  readonly number: number;
  /** ISO date. Only its year is written: no other date leaves the study. */
  readonly createdOn: string;
  readonly licence: Licence;
  /**
   * The last entry of the study's audit trail when the data were gathered, where there is one: whoever holds the release
   * can show later whether that trail was cut or written anew. Its hash says nothing of what the entry tells.
   */
  readonly auditHead?: { readonly entry: number; readonly sha256: string };
}

export interface ProtocolToRelease {
  readonly version: number;
  readonly phases: readonly { readonly name: string; readonly kind: PhaseKind; readonly durationS: number }[];
  readonly conditions: readonly { readonly name: string; readonly description: string }[];
  /** Every region that a trace or a measure of this release names, as the region catalogue describes it. */
  readonly regions: readonly RegionToRelease[];
}

export interface RegionToRelease {
  readonly id: string;
  readonly site: string;
  readonly side: string;
  readonly aspect: string;
  readonly label: string;
}

/** Only volunteers whose permission to share is in force may be handed over; that is decided by the caller. */
export interface VolunteerToRelease {
  /** Internal id, used to join; never written. */
  readonly key: string;
  readonly sex: "female" | "male" | "other" | null;
  readonly ageYears: number | null;
  readonly heightCm: number | null;
  readonly massKg: number | null;
}

export interface MeasureToRelease {
  readonly name: string;
  readonly regionId: string | null;
  readonly value: number | null;
  readonly unit: string;
  /**
   * True when height, mass, surface area or anything else of the volunteer's body entered the computation (heat in
   * W, heat storage, metabolic rate ...). Such a number would give exact body measures away and is withheld.
   */
  readonly usesBodyMeasures: boolean;
}

export interface TrialToRelease {
  /** Internal id, used to join and to ask for traces; never written. */
  readonly key: string;
  readonly volunteerKey: string;
  readonly conditionName: string;
  readonly occasion: number;
  readonly room: {
    readonly airTemperatureC: number | null;
    readonly meanRadiantTemperatureC: number | null;
    readonly relativeHumidityPct: number | null;
    readonly airSpeedMS: number | null;
  };
  /** Seconds on the same scale as the time bases of the trial's traces. */
  readonly phases: readonly {
    readonly name: string;
    readonly kind: PhaseKind;
    readonly startS: number;
    readonly endS: number;
  }[];
  readonly measures: readonly MeasureToRelease[];
}

export interface TraceToRelease {
  readonly target: TraceTarget;
  readonly unit: string;
  /** Seconds from the source file's own origin. */
  readonly timeBase: TimeBase;
  /** One value per time; a missing value is NaN. A Float32Array is written as the shortest decimals of its float32s. */
  readonly values: Float32Array | Float64Array;
}

/** What `assessDisclosure` needs: everything but the traces and the randomness. */
export interface ReleaseFrame {
  readonly study: StudyToRelease;
  readonly release: ReleaseFacts;
  readonly protocol: ProtocolToRelease;
  readonly volunteers: readonly VolunteerToRelease[];
  readonly trials: readonly TrialToRelease[];
  readonly rule: DisclosureRule;
  /**
   * What must occur nowhere in the package: volunteer codes, names, contacts, birth dates. `forbiddenStringsOf`
   * makes the list for one volunteer. Of ALL volunteers of the study, not only those who are released.
   */
  readonly forbiddenStrings: readonly string[];
}

export interface ReleaseInput extends ReleaseFrame {
  /** Called once per released trial, when its turn comes; one trial's traces are in memory at a time. */
  traces(trialKey: string): AsyncIterable<TraceToRelease>;
  /** Makes the pseudonyms. The same source state and input give the same bytes. */
  readonly random: RandomSource;
}
