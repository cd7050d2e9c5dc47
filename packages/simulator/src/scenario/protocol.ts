import { bench } from "../physiology";
import { skinNodes } from "../skin-node";
import type { SimulatedProtocol } from "../types";
import { imagingSetup } from "./imaging";

export const restS = 600;
export const exerciseS = 1200;
export const recoveryS = 600;

export const protocol: SimulatedProtocol = {
  title: "Bench stepping with bare and with gloved hands (invented demo)",
  purpose:
    "Does the skin of hands and forearms cool at the start of bench stepping and rewarm while the stepping goes on, " +
    "in how many members of a rowing club, and does covering the hands alter it? An invented study.",
  phases: [
    { name: "Rest", kind: "rest", durationS: restS },
    { name: "Stepping", kind: "exercise", durationS: exerciseS },
    { name: "Recovery", kind: "recovery", durationS: recoveryS },
  ],
  conditions: [
    {
      name: "bare hands",
      description: "Hands uncovered; every region is seen by the camera.",
    },
    {
      name: "insulated gloves",
      description:
        "Insulated gloves from ten minutes before the rest phase to the end of recovery. The camera cannot see hands and fingertips: " +
        "there, a contact point beneath the glove is recorded instead.",
    },
  ],
  regionIds: skinNodes.map((skin) => skin.regionId),
  roomLimits: {
    airTemperatureC: [22, 24.5],
    relativeHumidityPercent: [30, 60],
    airSpeedMS: [0, 0.2],
  },
  imaging: imagingSetup,
  preVisitRules: [
    "No meal, coffee, tea or tobacco for two hours before the visit.",
    "No hard training on the day, no alcohol since the evening before.",
    "No cream or oil on the skin; short trousers and a sleeveless top.",
  ],
  stopCriteria: [
    "The volunteer asks to stop, for whatever reason.",
    "Chest pain, dizziness, unsteadiness, nausea, pallor or blue lips.",
    "Heart rate above the limit that was set at screening.",
    "Core temperature above 38.5 °C where it is measured.",
    "Loss of the heart rate signal for more than one minute.",
  ],
  plannedOutcomes: [
    "Forearm: end of exercise minus lowest point, bare hands against insulated gloves",
    "Hand: fall from baseline to the lowest point",
    "Mean skin temperature (Ramanathan) at the end of exercise",
    `Share of volunteers whose hands fall and rewarm while stepping on a ${bench.heightM.toFixed(2)} m bench at ${bench.stepsPerMinute} steps per minute`,
  ],
};
