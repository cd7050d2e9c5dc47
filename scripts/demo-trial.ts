import type { SimulatedImagingRecord, SimulatedTrial } from "@acral/simulator";
import { type DemoClient, isChangedMeanwhile } from "./demo-client";
import type { DemoTeam } from "./demo-people";
import { keyOf } from "./demo-scenario";

const endMarker = "End";

/**
 * Takes one planned trial to where the scenario leaves it: room, source file, column map, markers, and accepted or set
 * aside. Whatever is there already stays; when a visitor works on the same trial, it looks again and goes on from there.
 */
export async function finishTrial(
  team: DemoTeam,
  studyId: string,
  trialId: string,
  simulated: SimulatedTrial,
): Promise<void> {
  for (let attempt = 1; ; attempt++) {
    try {
      return await goOn(team, studyId, trialId, simulated);
    } catch (error) {
      if (attempt === 5 || !isChangedMeanwhile(error)) throw error;
    }
  }
}

async function goOn(team: DemoTeam, studyId: string, trialId: string, simulated: SimulatedTrial) {
  const { operator, analyst } = team;
  const trial = await operator.api.trial.get.query({ studyId, trialId });
  if (trial.state === "accepted" || trial.state === "set_aside") return;
  const { file, fate, room, markers, imaging } = simulated;
  let { revision } = trial;

  if (file !== null) {
    if (trial.room.airTemperatureC === null) {
      const saved = await operator.api.trial.saveRoom.mutate({
        studyId,
        trialId,
        revision,
        room: {
          airTemperatureC: room.airTemperatureC,
          meanRadiantTemperatureC: room.meanRadiantTemperatureC,
          relativeHumidityPct: room.relativeHumidityPercent,
          airSpeedMS: room.airSpeedMS,
        },
      });
      revision = saved.revision;
    }
    if (imaging !== null) await recordImaging(operator, studyId, trialId, imaging);
    const unread = trial.sourceFiles.filter(({ state }) => state !== "read");
    for (const { sourceFileId } of unread) await confirmColumnMap(operator, studyId, sourceFileId);
    if (trial.sourceFiles.length === 0) {
      const kept = await operator.upload(studyId, trialId, { name: file.name, bytes: file.bytes() });
      await confirmColumnMap(operator, studyId, kept.sourceFileId);
    }
    // Reading a file makes another revision of the trial.
    ({ revision } = await operator.api.trial.get.query({ studyId, trialId }));
    if (trial.markers.length === 0) {
      const saved = await operator.api.trial.saveMarkers.mutate({
        studyId,
        trialId,
        revision,
        markers: markers.map(({ name, atS }) => ({
          name,
          atS,
          phaseKey: name === endMarker ? trial.endMarkerKey : keyOf(name),
        })),
      });
      revision = saved.revision;
    }
  }

  switch (fate.kind) {
    case "accepted":
      await analyst.api.trial.accept.mutate({ studyId, trialId, revision });
      return;
    case "set aside":
    case "not recorded":
      await analyst.api.trial.setAside.mutate({ studyId, trialId, revision, reason: fate.reason });
      return;
  }
}

/** What the operator noted of the images; a record that is there already stays as it is. */
async function recordImaging(
  { api }: DemoClient,
  studyId: string,
  trialId: string,
  imaging: SimulatedImagingRecord,
): Promise<void> {
  const { revision } = await api.imaging.ofTrial.query({ studyId, trialId });
  if (revision > 0) return;
  await api.imaging.save.mutate({
    studyId,
    trialId,
    revision,
    record: { schema: 1, ...imaging, notApplicable: {} },
  });
}

/** Confirms the column map as the product proposes it: the simulator's tests hold detection against every dialect. */
async function confirmColumnMap(operator: DemoClient, studyId: string, sourceFileId: string): Promise<void> {
  const proposed = await operator.api.sourceFile.proposal.query({ studyId, sourceFileId });
  if (proposed.proposal === null) {
    throw new Error(`No column map could be proposed for ${proposed.name}: ${proposed.problem.message}`);
  }
  await operator.api.sourceFile.read.mutate({
    studyId,
    sourceFileId,
    revision: proposed.revision,
    columnMap: proposed.proposal.columnMap,
  });
}
