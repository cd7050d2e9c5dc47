import type { RecordingPlan } from "./camera";
import type { SeededRandom } from "./seeded-random";
import type { Dialect } from "./types";

type RecordingLayout = Pick<RecordingPlan, "timesS" | "spreadRegionIds" | "withSpread" | "channels">;

const armSpread = ["forearm-left-anterior", "forearm-right-anterior"];

/** What is recorded, and how often, differs between the dialects as it would between operators. */
export function recordingOf(dialect: Dialect, endS: number, random: SeededRandom): RecordingLayout {
  switch (dialect) {
    case "comma-iso":
    case "comma-iso-gzip":
      return {
        timesS: everyS(1, endS),
        spreadRegionIds: armSpread,
        withSpread: true,
        channels: ["heart rate", "reference surface temperature"],
      };
    case "semicolon-german":
      return {
        timesS: everyS(2, endS),
        spreadRegionIds: [...armSpread, "chest-left-anterior"],
        withSpread: true,
        channels: ["heart rate", "air temperature", "reference surface temperature"],
      };
    case "tab-fahrenheit":
      return {
        timesS: unevenS(endS, random),
        spreadRegionIds: [...armSpread, "thigh-right-anterior"],
        withSpread: false,
        channels: ["heart rate", "core temperature"],
      };
    case "pipe-long":
      return {
        timesS: everyS(10, endS),
        spreadRegionIds: armSpread,
        withSpread: true,
        channels: ["heart rate", "reference surface temperature"],
      };
    case "aligned-kelvin":
      return {
        timesS: everyS(1, endS),
        spreadRegionIds: [],
        withSpread: false,
        channels: ["heart rate"],
      };
  }
}

function everyS(stepS: number, endS: number): Float64Array {
  return Float64Array.from({ length: Math.floor(endS / stepS) + 1 }, (_, i) => i * stepS);
}

/** About every two seconds, in tenths, with one longer gap. */
function unevenS(endS: number, random: SeededRandom): Float64Array {
  const times: number[] = [];
  const gapAfterS = 700 + random.integer(600);
  let tenths = 0;
  let gapDone = false;
  while (tenths <= endS * 10) {
    times.push(tenths / 10);
    tenths += 17 + random.integer(7);
    if (!gapDone && tenths > gapAfterS * 10) {
      tenths += 80;
      gapDone = true;
    }
  }
  return Float64Array.from(times);
}
