import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  adjustPValues,
  cohensD,
  meanCourse,
  pearsonCorrelation,
  shareInterval,
  signFlipTest,
  describe as summarise,
  tTest,
  wilcoxonRankSum,
  wilcoxonSignedRank,
} from "../../src/statistics";

const value = fc.double({ min: -50, max: 50, noNaN: true });
/** Values with a spread that is not lost in rounding. */
const sample = fc
  .array(fc.integer({ min: -5000, max: 5000 }), { minLength: 4, maxLength: 30 })
  .map((values) => values.map((entry) => entry / 100))
  .filter((values) => new Set(values).size > 2);

describe("properties", () => {
  it("p values lie in [0, 1] and intervals hold their estimate", () => {
    fc.assert(
      fc.property(sample, sample, (first, second) => {
        for (const kind of ["welch", "pooled"] as const) {
          const t = tTest({ kind, first, second });
          expect(t.p).toBeGreaterThanOrEqual(0);
          expect(t.p).toBeLessThanOrEqual(1);
          expect(t.interval.lower).toBeLessThanOrEqual(t.estimate);
          expect(t.interval.upper).toBeGreaterThanOrEqual(t.estimate);
        }
        const d = cohensD({ first, second });
        expect(d.interval.lower).toBeLessThanOrEqual(d.estimate);
        expect(d.interval.upper).toBeGreaterThanOrEqual(d.estimate);
        const w = wilcoxonRankSum({ first, second });
        expect(w.p).toBeGreaterThan(0);
        expect(w.p).toBeLessThanOrEqual(1);
        expect(w.interval.lower).toBeLessThanOrEqual(w.estimate);
        expect(w.interval.upper).toBeGreaterThanOrEqual(w.estimate);
      }),
      { numRuns: 30 },
    );
  });

  it("a shift and a scale change a t test as they should and its p not at all", () => {
    fc.assert(
      fc.property(
        sample,
        sample,
        value,
        fc.double({ min: 0.01, max: 100, noNaN: true }),
        (first, second, shift, scale) => {
          const moved = (values: number[]) => values.map((entry) => scale * entry + shift);
          const plain = tTest({ kind: "welch", first, second });
          const changed = tTest({ kind: "welch", first: moved(first), second: moved(second) });
          expect(changed.p).toBeCloseTo(plain.p, 8);
          expect(changed.estimate).toBeCloseTo(scale * plain.estimate, 6);
        },
      ),
      { numRuns: 50 },
    );
  });

  it("swapping the samples turns the sign and keeps p", () => {
    fc.assert(
      fc.property(sample, sample, (first, second) => {
        const one = wilcoxonRankSum({ first, second });
        const other = wilcoxonRankSum({ first: second, second: first });
        expect(other.p).toBeCloseTo(one.p, 12);
        expect(other.estimate).toBeCloseTo(-one.estimate, 10);
        expect(other.rankBiserial.estimate).toBeCloseTo(-one.rankBiserial.estimate, 12);
      }),
      { numRuns: 30 },
    );
  });

  it("the order of volunteers does not matter", () => {
    fc.assert(
      fc.property(sample, (values) => {
        const turned = [...values].reverse();
        expect(summarise(turned).mean).toBeCloseTo(summarise(values).mean as number, 12);
        expect(
          signFlipTest({ rows: turned.slice(0, 8).map((entry) => [entry + 0.001]) }).measures[0]?.p,
        ).toBe(
          signFlipTest({
            rows: turned
              .slice(0, 8)
              .reverse()
              .map((entry) => [entry + 0.001]),
          }).measures[0]?.p,
        );
        if (values.some((entry) => entry !== 0)) {
          expect(wilcoxonSignedRank({ values: turned }).p).toBeCloseTo(wilcoxonSignedRank({ values }).p, 14);
        }
        const courses = values.map((entry) => [entry, 2 * entry]);
        expect(meanCourse([...courses].reverse()).upper[1]).toBeCloseTo(
          meanCourse(courses).upper[1] as number,
          9,
        );
      }),
      { numRuns: 30 },
    );
  });

  it("adjusted p values are never smaller and keep their order", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 1, maxLength: 20 }),
        (p) => {
          for (const adjustment of [
            "holm",
            "hochberg",
            "benjamini-hochberg",
            "benjamini-yekutieli",
          ] as const) {
            const adjusted = adjustPValues(p, adjustment);
            p.forEach((own, i) => {
              expect(adjusted[i]).toBeGreaterThanOrEqual(own);
              p.forEach((other, j) => {
                if (own < other) expect(adjusted[i]).toBeLessThanOrEqual(adjusted[j] as number);
              });
            });
          }
        },
      ),
      { numRuns: 50 },
    );
  });

  it("intervals of a share lie in [0, 1] and hold it", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 300 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (n, share) => {
          const count = Math.round(share * n);
          for (const kind of ["exact", "wilson", "jeffreys"] as const) {
            const { estimate, interval } = shareInterval({ count, n, kind });
            expect(interval.lower).toBeGreaterThanOrEqual(0);
            expect(interval.upper).toBeLessThanOrEqual(1);
            expect(interval.lower).toBeLessThanOrEqual(estimate);
            expect(interval.upper).toBeGreaterThanOrEqual(estimate);
          }
        },
      ),
      { numRuns: 60 },
    );
  });

  it("a correlation lies in [-1, 1] within its interval and does not see a change of scale", () => {
    fc.assert(
      fc.property(sample, fc.double({ min: 0.1, max: 10, noNaN: true }), (x, scale) => {
        const y = x.map((entry, i) => entry * scale + ((i * 37) % 11));
        const { estimate, interval } = pearsonCorrelation({ x, y });
        expect(Math.abs(estimate)).toBeLessThanOrEqual(1);
        if (interval) {
          expect(interval.lower).toBeLessThanOrEqual(estimate);
          expect(interval.upper).toBeGreaterThanOrEqual(estimate);
        }
        expect(pearsonCorrelation({ x: x.map((entry) => entry * scale), y }).estimate).toBeCloseTo(
          estimate,
          10,
        );
      }),
      { numRuns: 50 },
    );
  });
});
