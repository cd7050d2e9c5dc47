import { openSecret, sealSecret, secondFactorKey } from "@acral/db";
import { describe, expect, it } from "vitest";
import {
  authenticatorAddress,
  base32,
  codeOf,
  hashOfRecoveryCode,
  newRecoveryCodes,
  newSecret,
  readTypedCode,
  recoveryCodeCount,
  stepAt,
  stepOfCode,
} from "../src/second-factor/policy";
import { secretOf } from "./second-factor-codes";

const ofTheStandard = new Uint8Array(Buffer.from("12345678901234567890"));

describe("codes of an authenticator", () => {
  it("are those of RFC 6238, appendix B, with eight digits", () => {
    const vectors = [
      [59, "94287082"],
      [1111111109, "07081804"],
      [1111111111, "14050471"],
      [1234567890, "89005924"],
      [2000000000, "69279037"],
      [20000000000, "65353130"],
    ] as const;
    for (const [seconds, code] of vectors) {
      const step = stepAt(new Date(seconds * 1000));
      expect(codeOf(ofTheStandard, step, 8)).toBe(code);
      expect(codeOf(ofTheStandard, step)).toBe(code.slice(2));
    }
  });

  it("are those of RFC 4226, appendix D, with six", () => {
    const codes = ["755224", "287082", "359152", "969429", "338314", "254676", "287922", "162583"];
    expect(codes.map((_, count) => codeOf(ofTheStandard, count))).toEqual(codes);
  });

  it("are taken one step early or late, no further, and never at or before a step that was taken", () => {
    const now = new Date("2026-03-01T08:00:10Z");
    const here = stepAt(now);
    const answer = (steps: number, lastStep = 0) =>
      stepOfCode(ofTheStandard, codeOf(ofTheStandard, here + steps), now, lastStep);
    expect([-2, -1, 0, 1, 2].map((steps) => answer(steps))).toEqual([null, here - 1, here, here + 1, null]);
    expect([-1, 0, 1].map((steps) => answer(steps, here))).toEqual([null, null, here + 1]);
    expect(stepOfCode(ofTheStandard, "", now, 0)).toBeNull();
  });

  it("come from a secret that is written as RFC 4648 has it", () => {
    const vectors = {
      f: "MY",
      fo: "MZXQ",
      foo: "MZXW6",
      foob: "MZXW6YQ",
      fooba: "MZXW6YTB",
      foobar: "MZXW6YTBOI",
    };
    for (const [text, written] of Object.entries(vectors)) {
      expect(base32(new Uint8Array(Buffer.from(text)))).toBe(written);
    }
    const secret = newSecret();
    expect(secret).toHaveLength(20);
    expect(secretOf(base32(secret))).toEqual(secret);
    expect(authenticatorAddress(ofTheStandard, "wader+1@example.org")).toBe(
      "otpauth://totp/Acral:wader%2B1%40example.org?secret=GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ&issuer=Acral&algorithm=SHA1&digits=6&period=30",
    );
  });
});

describe("recovery codes", () => {
  it("are taken as people type them, and are all different", () => {
    const codes = newRecoveryCodes();
    expect(new Set(codes).size).toBe(recoveryCodeCount);
    for (const code of codes) {
      expect(readTypedCode(code.toLowerCase().replaceAll("-", "  "))).toEqual({ kind: "recovery", code });
    }
    expect(readTypedCode(" 123 456 ")).toEqual({ kind: "authenticator", code: "123456" });
    expect(["", "12345", "1234567", codes[0]?.slice(1) ?? ""].map(readTypedCode)).toEqual([
      null,
      null,
      null,
      null,
    ]);
  });

  it("have another hash for every account", () => {
    expect(hashOfRecoveryCode("a", "code")).not.toBe(hashOfRecoveryCode("b", "code"));
  });
});

describe("a sealed secret", () => {
  it("is read with its key for its account alone, and not after a change", () => {
    const key = secondFactorKey(new Uint8Array(32).fill(7));
    const sealed = sealSecret(key, "heron", ofTheStandard);
    expect(openSecret(key, "heron", sealed)).toEqual(ofTheStandard);
    expect(Buffer.from(sealed).includes(Buffer.from(ofTheStandard))).toBe(false);
    expect(sealSecret(key, "heron", ofTheStandard)).not.toEqual(sealed);
    expect(() => openSecret(key, "cormorant", sealed)).toThrow();
    expect(() => openSecret(secondFactorKey(new Uint8Array(32).fill(8)), "heron", sealed)).toThrow();
    for (const at of [0, 12, 28]) {
      const changed = new Uint8Array(sealed);
      changed[at] = (changed[at] ?? 0) ^ 1;
      expect(() => openSecret(key, "heron", changed)).toThrow();
    }
  });
});
