import type { Actor } from "../src/access/service";
import { codeOf, stepAt } from "../src/second-factor/policy";
import type { TestCore } from "../src/testing";

const alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";

/** What an authenticator makes of the secret that was typed into it. */
export function secretOf(text: string): Uint8Array {
  const bits = [...text].map((sign) => alphabet.indexOf(sign).toString(2).padStart(5, "0")).join("");
  return new Uint8Array((bits.match(/.{8}/g) ?? []).map((byte) => Number.parseInt(byte, 2)));
}

/** What an authenticator shows at the moment of the server, or so many steps beside it. */
export function codeNow(test: TestCore, secret: string, steps = 0): string {
  return codeOf(secretOf(secret), stepAt(test.core.now()) + steps);
}

export async function withSecondFactor(test: TestCore, actor: Actor) {
  const call = test.caller(actor);
  const { secret } = await call.secondFactor.begin();
  const { recoveryCodes } = await call.secondFactor.confirm({ code: codeNow(test, secret) });
  return { actor, secret, recoveryCodes };
}
