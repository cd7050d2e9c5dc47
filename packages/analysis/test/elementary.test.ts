import { readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import {
  atanh,
  cube,
  exp,
  expm1,
  fourthPower,
  fourthRoot,
  log,
  log1p,
  log10,
  power,
  square,
  tanh,
} from "../src/elementary";

const source = fileURLToPath(new URL("../src", import.meta.url));

/** What ECMA-262 leaves to the engine ("an implementation-approximated Number value"), and what hangs on place or moment. */
const leftToTheEngine =
  /\bMath\.(?!(?:abs|ceil|floor|max|min|round|sign|sqrt|trunc|fround|imul|clz32|[A-Z][A-Z0-9_]*)\b)\w+|\*\*(?=[\s\d(])|\bDate\b|\btoLocale\w*|\bIntl\b|\blocaleCompare\b|\bperformance\b/g;

const withoutComments = (text: string) => text.replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, "");

describe("the same input gives the same bytes on every machine", () => {
  it("uses no function that the language leaves to the engine", () => {
    const files = readdirSync(source, { recursive: true, encoding: "utf8" }).filter((file) =>
      file.endsWith(".ts"),
    );
    expect(files.length).toBeGreaterThan(80);
    const uses = files.flatMap((file) =>
      [...withoutComments(readFileSync(`${source}/${file}`, "utf8")).matchAll(leftToTheEngine)].map(
        ([use]) => `${file}: ${use}`,
      ),
    );
    expect(uses).toEqual([]);
  });

  it("would notice such a use", () => {
    for (const use of [
      "Math.pow(x, 2)",
      "x ** 0.6",
      "Math.exp(x)",
      "Math.random()",
      "new Date()",
      "a.localeCompare(b)",
    ]) {
      expect(use.match(leftToTheEngine), use).not.toBeNull();
    }
    for (const fine of ["Math.sqrt(x)", "Math.max(x, y)", "x * y"])
      expect(fine.match(leftToTheEngine), fine).toBeNull();
  });
});

// Abramowitz & Stegun 1964, Handbook of Mathematical Functions: mathematical constants (table 1.1), tanh and its inverse (4.15, 4.17).
describe("elementary functions", () => {
  it("give the constants of the tables", () => {
    expect(exp(1)).toBeCloseTo(Math.E, 14);
    expect(log(10)).toBeCloseTo(Math.LN10, 14);
    expect(log10(Math.E)).toBeCloseTo(Math.LOG10E, 15);
    expect(expm1(1e-10)).toBeCloseTo(1.00000000005e-10, 24);
    expect(log1p(1e-10)).toBeCloseTo(9.9999999995e-11, 24);
    expect(power(2, 0.5)).toBe(Math.SQRT2);
    expect(power(10, 0.25)).toBeCloseTo(1.778279410038923, 15);
    expect(tanh(1)).toBeCloseTo(0.761594155955765, 15);
    expect(atanh(0.5)).toBeCloseTo(0.549306144334055, 15);
  });

  it("give whole powers of ten and two exactly", () => {
    for (let n = -300; n <= 300; n += 7)
      expect(Math.abs(log10(Number(`1e${n}`)) - n)).toBeLessThanOrEqual(1e-13);
    for (let n = 0; n <= 52; n++) expect(power(2, n)).toBe(Number(1n << BigInt(n)));
  });

  it("raise to whole powers and take fourth roots by multiplication and square roots alone", () => {
    expect([square(-3), cube(-3), fourthPower(-3), fourthRoot(81)]).toEqual([9, -27, 81, 3]);
    expect(fourthRoot(fourthPower(306.65))).toBeCloseTo(306.65, 12);
    expect([square(Number.NaN), fourthRoot(-1), power(Number.NaN, 2)]).toEqual([
      Number.NaN,
      Number.NaN,
      Number.NaN,
    ]);
  });
});
