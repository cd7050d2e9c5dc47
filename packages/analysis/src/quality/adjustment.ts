import { AnalysisError } from "../analysis-error";
import type { TimeBase } from "../course";
import type { TraceName } from "./finding";

/** What a camera was told, or should have been told, about a grey surface. */
export interface SurfaceSettings {
  readonly emissivity: number;
  /** Reflected apparent temperature, °C. */
  readonly reflectedC: number;
}

/**
 * One reversible change to the traces of one source file. Moments are on the file's own clock as it was read, before any
 * time shift; temperatures in °C, durations in s.
 */
export type AdjustmentSettings =
  | {
      readonly kind: "reference drift";
      /** Which series shows the reference surface: a `seriesKey`. */
      readonly reference: string;
      /** What the surface really had. */
      readonly trueC: number;
      /** Width of the centred moving mean over which the camera's offset is taken. */
      readonly smoothingS: number;
    }
  | {
      readonly kind: "common step";
      /** First moment after the step. */
      readonly atS: number;
      /** Subtracted from there on. */
      readonly heightC: number;
    }
  | {
      readonly kind: "warming-up drift";
      readonly startS: number;
      /** °C by which the drift settles in the end; °C per second where it is even. */
      readonly amplitudeC: number;
      /** Time constant; null for an even drift. */
      readonly tauS: number | null;
    }
  | {
      readonly kind: "mask";
      /** First and last moment that become missing, both included. */
      readonly fromS: number;
      readonly toS: number;
      /** Which series, as `seriesKey` names them; null for all. */
      readonly series: readonly string[] | null;
    }
  | {
      readonly kind: "time shift";
      /** Later by this much. */
      readonly byS: number;
    }
  | {
      readonly kind: "emissivity";
      /** What the camera was set to; emissivity 1 where it corrected nothing. */
      readonly from: SurfaceSettings;
      readonly to: SurfaceSettings;
    };

export type AdjustmentKind = AdjustmentSettings["kind"];

export const adjustmentKinds: readonly AdjustmentKind[] = [
  "reference drift",
  "common step",
  "warming-up drift",
  "mask",
  "time shift",
  "emissivity",
];

export interface ChannelName {
  readonly channel: string;
}

/** How adjustments name a series: "forearm-left-anterior (mean)" for a region's trace, its name for a channel. */
export function seriesKey(name: TraceName | ChannelName): string {
  return "channel" in name ? name.channel : `${name.regionId} (${name.statistic})`;
}

const limits = { temperatureC: 50, durationS: 1e7 } as const;

/**
 * Throws AnalysisError `out of range`, naming the number in words, unless an adjustment's numbers can mean something. That
 * its series are in the file is asked when it is applied.
 */
export function requireAdjustment(settings: AdjustmentSettings): void {
  const refuse = (argument: string, requirement: string): never => {
    throw new AnalysisError("out of range", "applyAdjustments", argument, requirement);
  };
  const within = (argument: string, value: number, min: number, max: number, what: string) => {
    if (!(value >= min && value <= max)) refuse(argument, `${what} from ${min} to ${max}, not ${value}`);
  };
  const moment = (argument: string, value: number) =>
    Number.isFinite(value) || refuse(argument, `a moment in s on the file's clock, not ${value}`);
  switch (settings.kind) {
    case "reference drift":
      within("trueC", settings.trueC, -100, 200, "the surface's temperature in °C");
      within("smoothingS", settings.smoothingS, 0, limits.durationS, "a smoothing in s");
      return;
    case "common step":
      moment("atS", settings.atS);
      within("heightC", settings.heightC, -limits.temperatureC, limits.temperatureC, "a height in °C");
      return;
    case "warming-up drift":
      moment("startS", settings.startS);
      within("amplitudeC", settings.amplitudeC, -limits.temperatureC, limits.temperatureC, "a size in °C");
      if (settings.tauS !== null && !(settings.tauS > 0 && settings.tauS <= limits.durationS)) {
        refuse("tauS", `a time constant above 0 s and at most ${limits.durationS} s, not ${settings.tauS}`);
      }
      return;
    case "mask":
      moment("fromS", settings.fromS);
      moment("toS", settings.toS);
      if (settings.toS < settings.fromS) {
        refuse(
          "toS",
          `an end that is not before the beginning; ${settings.toS} s is before ${settings.fromS} s`,
        );
      }
      if (settings.series?.length === 0) refuse("series", "at least one series, or all of them");
      return;
    case "time shift":
      within("byS", settings.byS, -limits.durationS, limits.durationS, "a shift in s");
      return;
    case "emissivity":
      for (const [argument, { emissivity, reflectedC }] of [
        ["from", settings.from],
        ["to", settings.to],
      ] as const) {
        within(argument, emissivity, 0.1, 1, "an emissivity");
        within(argument, reflectedC, -100, 200, "a reflected temperature in °C");
      }
      return;
  }
}

/** The time base with its times moved later by `byS` seconds. */
export function shiftedTimeBase(timeBase: TimeBase, byS: number): TimeBase {
  return timeBase.kind === "regular"
    ? { ...timeBase, startS: timeBase.startS + byS }
    : { kind: "irregular", timesS: timeBase.timesS.map((time) => time + byS) };
}
