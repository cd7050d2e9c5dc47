import { bodySamples, heatSamples } from "./body-and-heat";
import { courseSamples, qualitySamples, skinSamples } from "./skin-course-quality";
import { allocationSamples, statisticsSamples } from "./statistics-and-allocation";

const families: Readonly<Record<string, Readonly<Record<string, () => unknown>>>> = {
  body: bodySamples,
  skin: skinSamples,
  heat: heatSamples,
  course: courseSamples,
  quality: qualitySamples,
  statistics: statisticsSamples,
  allocation: allocationSamples,
};

/** Numbers in their shortest form that reads back to the same bytes, with the sign of zero. */
function asText(_: string, value: unknown): unknown {
  if (typeof value === "number" && (!Number.isFinite(value) || Object.is(value, -0)))
    return `number ${Object.is(value, -0) ? "-0" : value}`;
  if (ArrayBuffer.isView(value)) return Array.from(value as unknown as ArrayLike<number>);
  if (value instanceof Map) return [...value];
  return value;
}

/** What every exported function of every family gives for a made-up input, as text. */
export function allSamples(): Record<string, string> {
  return Object.fromEntries(
    Object.entries(families).flatMap(([family, samples]) =>
      Object.entries(samples).map(([name, compute]) => [
        `${family} ${name}`,
        JSON.stringify(compute(), asText) ?? "nothing",
      ]),
    ),
  );
}
