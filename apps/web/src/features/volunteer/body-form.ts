import { isPlausible, surfaceArea } from "@acral/analysis/body";
import { toLocalDay } from "@/components/local-moment";
import type { Inputs } from "@/trpc/outputs";
import { type SkinfoldSite, skinfoldSites } from "./words";

/** Body measures as a form holds them. */
export interface BodyFields {
  readonly measuredOn: string;
  readonly heightCm: number | null;
  readonly massKg: number | null;
  readonly skinfoldsMm: Readonly<Partial<Record<SkinfoldSite, number | null>>>;
}

export function emptyBody(): BodyFields {
  return { measuredOn: toLocalDay(new Date()), heightCm: null, massKg: null, skinfoldsMm: {} };
}

export function isEmptyBody(fields: BodyFields): boolean {
  return fields.heightCm === null && fields.massKg === null && filledSkinfolds(fields).length === 0;
}

const filledSkinfolds = (fields: BodyFields) =>
  skinfoldSites.flatMap((site) => {
    const mm = fields.skinfoldsMm[site];
    return mm === null || mm === undefined ? [] : [[site, mm] as const];
  });

/** What is sent. A number that is missing goes as one that is none, and the server refuses it beside its field. */
export function bodyInput(fields: BodyFields): Inputs["volunteer"]["addBodyMeasures"]["bodyMeasures"] {
  const skinfolds = filledSkinfolds(fields);
  return {
    measuredOn: fields.measuredOn,
    heightCm: fields.heightCm ?? Number.NaN,
    massKg: fields.massKg ?? Number.NaN,
    ...(skinfolds.length === 0 ? {} : { skinfoldsMm: Object.fromEntries(skinfolds) }),
  };
}

/** Body surface area in m² by the default formula while typing; null until both numbers are plausible. */
export function surfaceAreaOf({ heightCm, massKg }: BodyFields): number | null {
  if (heightCm === null || massKg === null) return null;
  const heightM = heightCm / 100;
  if (!isPlausible("heightM", heightM) || !isPlausible("massKg", massKg)) return null;
  return surfaceArea(heightM, massKg);
}
