import type { Inputs } from "@/trpc/outputs";
import type { Finding } from "./quality-words";

export type AdjustmentSettings = Inputs["quality"]["adjust"]["settings"];
export type AdjustmentKind = AdjustmentSettings["kind"];

/**
 * An adjustment while it is being entered: what is not filled in yet is null. Moments are on the trial's clock, as the figure
 * shows them; an even drift is entered per hour, because per second it would be all zeros.
 */
export type AdjustmentDraft =
  | {
      readonly kind: "reference drift";
      readonly reference: string | null;
      readonly trueC: number | null;
      readonly smoothingS: number | null;
    }
  | { readonly kind: "common step"; readonly atS: number | null; readonly heightC: number | null }
  | {
      readonly kind: "warming-up drift";
      readonly startS: number | null;
      readonly settles: boolean;
      /** °C that it settles by, or °C per hour. */
      readonly size: number | null;
      readonly tauMin: number | null;
    }
  | {
      readonly kind: "mask";
      readonly fromS: number | null;
      readonly toS: number | null;
      /** Keys of series; null for all. */
      readonly series: readonly string[] | null;
    }
  | { readonly kind: "time shift"; readonly byS: number | null }
  | {
      readonly kind: "emissivity";
      readonly fromEmissivity: number | null;
      readonly fromReflectedC: number | null;
      readonly toEmissivity: number | null;
      readonly toReflectedC: number | null;
    };

export interface KindWords {
  readonly name: string;
  /** What it does, and when it is right. */
  readonly explanation: string;
}

export const kindWords: Readonly<Record<AdjustmentKind, KindWords>> = {
  "common step": {
    name: "Common step",
    explanation:
      "From a moment on, the same height is taken out of all regions: the camera recalibrated itself. What is before it stays.",
  },
  "warming-up drift": {
    name: "Warming-up drift",
    explanation:
      "A slow offset that all regions share is taken out: the camera was not yet at its temperature. The last value stays, because a camera is right once it has settled.",
  },
  "reference drift": {
    name: "Drift against a reference surface",
    explanation:
      "What the camera showed of a surface of known temperature, less what that surface had, is taken out of all regions.",
  },
  mask: {
    name: "Mask an interval",
    explanation:
      "Values in an interval become missing: something stood before the camera, a sensor came off. They are not replaced.",
  },
  "time shift": {
    name: "Time shift",
    explanation: "The whole file is moved in time: the clock of the instrument was off.",
  },
  emissivity: {
    name: "Emissivity or reflected temperature",
    explanation:
      "The camera's own correction is undone and made anew: it was set to another emissivity, or to another temperature of the room that the skin reflects.",
  },
};

export const kindOrder: readonly AdjustmentKind[] = [
  "common step",
  "warming-up drift",
  "reference drift",
  "mask",
  "time shift",
  "emissivity",
];

export function emptyDraft(kind: AdjustmentKind): AdjustmentDraft {
  switch (kind) {
    case "reference drift":
      return { kind, reference: null, trueC: null, smoothingS: 60 };
    case "common step":
      return { kind, atS: null, heightC: null };
    case "warming-up drift":
      return { kind, startS: null, settles: true, size: null, tauMin: null };
    case "mask":
      return { kind, fromS: null, toS: null, series: null };
    case "time shift":
      return { kind, byS: null };
    case "emissivity":
      return {
        kind,
        fromEmissivity: null,
        fromReflectedC: null,
        toEmissivity: 0.98,
        toReflectedC: null,
      };
  }
}

/** Entered numbers have a few digits; what a proposal brings has many. */
const rounded = (value: number, digits: number) => Number(value.toFixed(digits));

/** Settings as they are entered. */
export function draftOf(settings: NonNullable<Finding["proposal"]>): AdjustmentDraft {
  // A first moment is rounded down and a last one up, so that the samples that they mean stay on their side.
  const first = (seconds: number) => rounded(Math.floor(seconds * 1000 + 1e-6) / 1000, 3);
  const last = (seconds: number) => rounded(Math.ceil(seconds * 1000 - 1e-6) / 1000, 3);
  switch (settings.kind) {
    case "reference drift":
      return { ...settings };
    case "common step":
      return { kind: settings.kind, atS: first(settings.atS), heightC: rounded(settings.heightC, 3) };
    case "warming-up drift":
      return {
        kind: settings.kind,
        startS: first(settings.startS),
        settles: settings.tauS !== null,
        size: rounded(settings.tauS === null ? settings.amplitudeC * 3600 : settings.amplitudeC, 3),
        tauMin: settings.tauS === null ? null : rounded(settings.tauS / 60, 3),
      };
    case "mask":
      return {
        kind: settings.kind,
        fromS: first(settings.fromS),
        toS: last(settings.toS),
        series: settings.series,
      };
    case "time shift":
      return { kind: settings.kind, byS: rounded(settings.byS, 3) };
    case "emissivity":
      return {
        kind: settings.kind,
        fromEmissivity: settings.from.emissivity,
        fromReflectedC: settings.from.reflectedC,
        toEmissivity: settings.to.emissivity,
        toReflectedC: settings.to.reflectedC,
      };
  }
}

/** The settings that a draft says; null while something is not filled in. */
export function settingsOf(draft: AdjustmentDraft): AdjustmentSettings | null {
  switch (draft.kind) {
    case "reference drift": {
      const { kind, reference, trueC, smoothingS } = draft;
      if (reference === null || trueC === null || smoothingS === null) return null;
      return { kind, reference, trueC, smoothingS };
    }
    case "common step": {
      const { kind, atS, heightC } = draft;
      return atS === null || heightC === null ? null : { kind, atS, heightC };
    }
    case "warming-up drift": {
      const { kind, startS, settles, size, tauMin } = draft;
      if (startS === null || size === null || (settles && tauMin === null)) return null;
      return {
        kind,
        startS,
        amplitudeC: settles ? size : size / 3600,
        tauS: settles && tauMin !== null ? tauMin * 60 : null,
      };
    }
    case "mask": {
      const { kind, fromS, toS, series } = draft;
      if (fromS === null || toS === null || series?.length === 0) return null;
      return { kind, fromS, toS, series: series === null ? null : [...series] };
    }
    case "time shift":
      return draft.byS === null ? null : { kind: draft.kind, byS: draft.byS };
    case "emissivity": {
      const { kind, fromEmissivity, fromReflectedC, toEmissivity, toReflectedC } = draft;
      if (
        fromEmissivity === null ||
        fromReflectedC === null ||
        toEmissivity === null ||
        toReflectedC === null
      ) {
        return null;
      }
      return {
        kind,
        from: { emissivity: fromEmissivity, reflectedC: fromReflectedC },
        to: { emissivity: toEmissivity, reflectedC: toReflectedC },
      };
    }
  }
}

/** What a moment pointed at in the figure means for a draft: a step or a beginning there, or the two ends of a mask in turn. */
export function pickMoment(draft: AdjustmentDraft, seconds: number): AdjustmentDraft {
  const atS = rounded(seconds, 1);
  switch (draft.kind) {
    case "common step":
      return { ...draft, atS };
    case "warming-up drift":
      return { ...draft, startS: atS };
    case "mask":
      // The first moment, or a third one, begins anew; the second ends it, whichever comes first in time.
      if (draft.fromS === null || draft.toS !== null) return { ...draft, fromS: atS, toS: null };
      return { ...draft, fromS: Math.min(draft.fromS, atS), toS: Math.max(draft.fromS, atS) };
    case "reference drift":
    case "time shift":
    case "emissivity":
      return draft;
  }
}
