import { spawnSync } from "node:child_process";
import type { BenchLine } from "../../../scripts/bench";
import { clusterPermutationTest, seededGenerator } from "../src/statistics";
import { bestOf } from "./best-of";

const volunteers = 24;
const regions = 20;
const bins = 720;
const flips = 10_000;
/** R: qt(0.975, 23). */
const threshold = 2.0686576104190477;

/**
 * Cluster permutation of 24 volunteers x 20 regions x 720 bins with 10,000 sign flips, masses of clusters included: against
 * the plain double loop over flips and bins (timed on 100 flips and scaled) and, where Python has NumPy, against its matrix
 * product of flips and differences alone, without t and clusters.
 */
export async function run(): Promise<BenchLine[]> {
  const generator = seededGenerator(1);
  // Differences of skin temperature drift slowly (0.5 °C) under a little noise of the camera (0.03 °C).
  const normal = () =>
    Array.from({ length: 12 }, () => generator.uniform()).reduce((total, value) => total + value, -6);
  const differences = Array.from({ length: volunteers }, () =>
    Array.from({ length: regions }, () => {
      let level = normal();
      return Float64Array.from({ length: bins }, () => {
        level = 0.997 * level + Math.sqrt(1 - 0.997 ** 2) * normal();
        return 0.5 * level + 0.03 * normal();
      });
    }),
  );
  const { ms, result } = bestOf(6, () =>
    clusterPermutationTest({ kind: "paired", differences, permutations: flips }),
  );
  const few = 100;
  const signs = Int8Array.from({ length: few * volunteers }, (_, i) =>
    i < volunteers ? 1 : 2 * generator.below(2) - 1,
  );
  const plain = bestOf(2, () => plainMasses(differences, signs, few));
  const [observed] = plain.result;
  if (Math.abs((observed ?? 0) - (result.largestMasses[0] ?? 0)) > 1e-8 * (observed ?? 0)) {
    throw new Error(`the plain loop finds a mass of ${observed}, the test ${result.largestMasses[0]}`);
  }
  const seconds = ms / 1000;
  const loop = (plain.ms * flips) / few / 1000;
  const lines: BenchLine[] = [
    {
      name: "cluster permutation of 24 x 20 x 720, 10000 flips",
      value: seconds,
      unit: "s",
      reference: { what: "plain double loop", value: loop },
      ratio: loop / seconds,
      wanted: "at least 10 times faster",
      ok: loop / seconds >= 10,
    },
  ];
  const numpy = numpySeconds();
  if (numpy !== null) {
    lines.push({
      name: "cluster permutation beside a matrix product",
      value: seconds,
      unit: "s",
      reference: { what: "NumPy matrix product", value: numpy },
      ratio: numpy / seconds,
      wanted: "faster",
      ok: numpy > seconds,
    });
  }
  return lines;
}

function plainMasses(
  differences: readonly (readonly Float64Array[])[],
  signs: Int8Array,
  count: number,
): number[] {
  const masses: number[] = [];
  for (let flip = 0; flip < count; flip++) {
    let largest = 0;
    for (let region = 0; region < regions; region++) {
      let mass = 0;
      for (let bin = 0; bin < bins; bin++) {
        let sum = 0;
        let squares = 0;
        for (let v = 0; v < volunteers; v++) {
          const value =
            (signs[flip * volunteers + v] as number) * (differences[v]?.[region]?.[bin] as number);
          sum += value;
          squares += value * value;
        }
        const mean = sum / volunteers;
        const t = mean / Math.sqrt((squares - sum * mean) / (volunteers - 1) / volunteers);
        if (Math.abs(t) > threshold) {
          mass = mass * t > 0 ? mass + t : t;
          largest = Math.max(largest, Math.abs(mass));
        } else mass = 0;
      }
    }
    masses.push(largest);
  }
  return masses;
}

/** Seconds of the matrix product; null without Python or NumPy. */
function numpySeconds(): number | null {
  const code = `
import time, numpy
r = numpy.random.default_rng(1)
d = r.standard_normal((${volunteers}, ${regions * bins}))
s = r.choice([-1.0, 1.0], (${flips}, ${volunteers}))
best = 1e9
for _ in range(3):
    t = time.perf_counter()
    s @ d
    best = min(best, time.perf_counter() - t)
print(best)
`;
  const { OPENBLAS_CORETYPE: _core, OPENBLAS_L2_SIZE: _cache, ...environment } = process.env;
  const { status, stdout } = spawnSync("python3", ["-c", code], {
    encoding: "utf8",
    env: { ...environment, OPENBLAS_NUM_THREADS: "1" },
  });
  const seconds = Number.parseFloat(stdout ?? "");
  return status === 0 && Number.isFinite(seconds) ? seconds : null;
}
