import { randomBytes } from "node:crypto";
import type { BenchLine } from "../../../scripts/bench";
import { framesPerSecond, frameValues, headerLine } from "../../ingest/bench/one-hour";
import { openTestCore, type TestCore, testDatabaseKinds } from "../src/testing";
import { chunksOf, type ReadyStudy, readyStudy } from "../test/ready-study";

const megabytes = 20;
const rounds = 3;
/** As an HTTP server hands them on. */
const chunkBytes = 1 << 16;

/** A recording of 20 MB: 30 Hz, twenty regions x mean, max and min, invented. No two are the same file. */
function recording(): Uint8Array {
  const parts = [`# recording ${randomBytes(8).toString("hex")}\n`, headerLine()];
  let length = 0;
  for (let frame = 0; length < megabytes * 1e6; frame++) {
    const line = `${(frame / framesPerSecond).toFixed(4)}${frameValues(frame)}\n`;
    length += line.length;
    parts.push(line);
  }
  return new TextEncoder().encode(parts.join(""));
}

interface Steps {
  receive: number;
  propose: number;
  read: number;
  draw: number;
  /** Of this process, over all steps: tells a busy machine from slow work. */
  processor: number;
}

/** Seconds from the first byte to the course that a figure is drawn from, step by step. */
async function uploadToCourse(study: ReadyStudy, bytes: Uint8Array): Promise<Steps> {
  const { studyId, call } = study;
  const { volunteerId } = await study.volunteer();
  const trialId = await study.plan(volunteerId);
  const marks = [performance.now()];
  const before = process.cpuUsage();
  const mark = () => marks.push(performance.now());
  const { sourceFileId } = await study.upload(trialId, bytes, { body: chunksOf(bytes, chunkBytes) });
  mark();
  const { proposal, revision } = await call.sourceFile.proposal({ studyId, sourceFileId });
  if (proposal === null) throw new Error("No column map was proposed.");
  mark();
  const { traces } = await call.sourceFile.read({
    studyId,
    sourceFileId,
    revision,
    columnMap: proposal.columnMap,
  });
  mark();
  const course = await call.trial.course({ studyId, trialId });
  mark();
  if (traces !== 60 || course.traces.length !== traces)
    throw new Error(`${course.traces.length} traces are drawn of ${traces}, not 60.`);
  const seconds = marks.slice(1).map((at, i) => (at - (marks[i] ?? at)) / 1000);
  const [receive = 0, propose = 0, read = 0, draw = 0] = seconds;
  const { user, system } = process.cpuUsage(before);
  return { receive, propose, read, draw, processor: (user + system) / 1e6 };
}

const total = ({ receive, propose, read, draw }: Steps) => receive + propose + read + draw;

/** The quickest of several uploads, each of a file of its own. */
async function best(test: TestCore): Promise<Steps> {
  const study = await readyStudy(test);
  let quickest: Steps | null = null;
  for (let round = 0; round < rounds; round++) {
    const steps = await uploadToCourse(study, recording());
    if (quickest === null || total(steps) < total(quickest)) quickest = steps;
  }
  if (quickest === null) throw new Error("Nothing was uploaded.");
  return quickest;
}

/** From the first byte of an upload to the traces that a figure is drawn from, through the services of the API. */
export async function run(): Promise<BenchLine[]> {
  const lines: BenchLine[] = [];
  for (const kind of testDatabaseKinds()) {
    const test = await openTestCore(kind);
    try {
      const steps = await best(test);
      const seconds = total(steps);
      const parts = Object.entries(steps)
        .map(([name, value]) => `${name} ${value.toFixed(2)}`)
        .join(", ");
      lines.push({
        name: `upload to drawn traces, ${megabytes} MB, ${kind.name}`,
        value: seconds,
        unit: "s",
        reference: { what: `the bound (s: ${parts})`, value: 3 },
        ratio: 3 / seconds,
        wanted: "under 3 s",
        ok: seconds < 3,
      });
    } finally {
      await test.close();
    }
  }
  return lines;
}
