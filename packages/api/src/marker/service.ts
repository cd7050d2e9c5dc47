import type { z } from "zod";
import { AppError } from "../app-error";
import { requirePermission } from "../consent/service";
import { permissionKeys } from "../consent-form/policy";
import { newId } from "../identifiers";
import { refuseNaming } from "../identity/service";
import { type ReadScope, writeInStudy } from "../scope";
import { stateAfterChange } from "../trial/policy";
import { lockTrial, movedTo, requireRevision } from "../trial/service";
import { markerProblems } from "./policy";
import type { saveMarkersInput } from "./schema";

const markerTexts = (markers: readonly { name: string; atS: number }[]) =>
  markers.map((marker) => `${marker.name} ${marker.atS} s`);

/** Replaces the markers of a trial. */
export function saveMarkers(scope: ReadScope, input: z.output<typeof saveMarkersInput>) {
  return writeInStudy(scope, async (write) => {
    const { trial, content, subject } = await lockTrial(write, input.trialId, "change");
    const { db, access } = write;
    await requirePermission(write, trial.volunteerId, permissionKeys.takePart, write.now);
    const where = { studyId: access.studyId, trialId: trial.id };
    const before = await db.marker.findMany({ where, orderBy: [{ atS: "asc" }, { id: "asc" }] });
    requireRevision(trial, input.revision, {
      markers: before.map(({ name, phaseKey, atS }) => ({ name, phaseKey, atS })),
    });
    const problems = markerProblems(input.markers, content.phases);
    const first = problems[0];
    if (first !== undefined) {
      throw new AppError("invalid", first.message, {
        field: `markers.${first.index}.${first.field}`,
        details: { problems },
      });
    }
    await refuseNaming(write, trial.volunteerId, input.markers.map(({ name }) => name).join(" "), "markers");
    await db.marker.deleteMany({ where });
    await db.marker.createMany({
      data: input.markers.map((marker) => ({ id: newId(), ...where, ...marker })),
    });
    await db.trial.update({
      where: { id: trial.id },
      data: { revision: { increment: 1 }, ...movedTo(trial.state, stateAfterChange(trial.state), write.now) },
    });
    return {
      result: { revision: trial.revision + 1 },
      audit: [
        {
          action: "trial.saveMarkers",
          subject,
          before: { markers: markerTexts(before) },
          after: { markers: markerTexts(input.markers) },
        },
      ],
    };
  });
}
