import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { measureAgreement } from "./agreement/agreement-check";
import { allChecks } from "./agreement/all-checks";
import { type LiveR, startR } from "./live-r";

/** Reference: R 4.6 (compiled to WebAssembly), run here on random and edge-case inputs; slow checks are R enumerating. */
describe("agreement with R", () => {
  let r: LiveR;
  beforeAll(async () => {
    r = await startR();
  });
  afterAll(() => r.close());

  for (const check of allChecks) {
    it(`${check.name} agrees with ${check.against} within ${check.bound}`, async () => {
      const agreement = await measureAgreement(check, r);
      expect(agreement.values).toBeGreaterThan(0);
      expect(agreement.worst, agreement.worstCase).toBeLessThanOrEqual(check.bound);
    }, 180_000);
  }
});
