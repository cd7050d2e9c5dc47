import type { SimulatedChannel, SimulatedStatistic, SimulatedTarget } from "../types";

/** Words of a target in plain English, site before side: "forearm left anterior", "mean". */
export interface TraceWords {
  readonly what: string;
  /** Empty for a channel. */
  readonly statistic: string;
}

export function englishWords(target: SimulatedTarget): TraceWords {
  switch (target.kind) {
    case "region":
      return { what: target.regionId.replaceAll("-", " "), statistic: target.statistic };
    case "channel":
      return { what: target.channel, statistic: "" };
  }
}

const germanSites: Readonly<Record<string, string>> = {
  forehead: "Stirn",
  nose: "Nase",
  chest: "Brust",
  "upper-back": "Oberer Rücken",
  "upper-arm": "Oberarm",
  forearm: "Unterarm",
  hand: "Hand",
  fingertip: "Fingerspitze",
  thigh: "Oberschenkel",
  calf: "Wade",
};
const germanSides: Readonly<Record<string, string>> = { left: "links", right: "rechts", midline: "Mitte" };
const germanAspects: Readonly<Record<string, string>> = {
  anterior: "vorn",
  posterior: "hinten",
  dorsal: "dorsal",
  palmar: "palmar",
};

export function germanWords(target: SimulatedTarget): TraceWords {
  switch (target.kind) {
    case "region": {
      const parts = /^(.+)-([^-]+)-([^-]+)$/.exec(target.regionId);
      const [, site = "", side = "", aspect = ""] = parts ?? [];
      const words = [germanSites[site], germanSides[side], germanAspects[aspect]];
      if (words.includes(undefined))
        throw new RangeError(`no German words for the region ${target.regionId}`);
      return { what: words.join(" "), statistic: germanStatistic(target.statistic) };
    }
    case "channel":
      return { what: germanChannel(target.channel), statistic: "" };
  }
}

function germanStatistic(statistic: SimulatedStatistic): string {
  switch (statistic) {
    case "mean":
      return "Mittelwert";
    case "maximum":
      return "Maximum";
    case "standard deviation":
      return "Standardabweichung";
    case "point":
      return "Punkt";
  }
}

function germanChannel(channel: SimulatedChannel): string {
  switch (channel) {
    case "heart rate":
      return "Herzfrequenz";
    case "core temperature":
      return "Kerntemperatur";
    case "air temperature":
      return "Lufttemperatur";
    case "reference surface temperature":
      return "Referenzfläche";
  }
}
