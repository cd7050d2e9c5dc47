import { resolve } from "node:path";
import { PassThrough } from "node:stream";
import { describe, expect, it } from "vitest";
import { trialProgress } from "./demo-progress";
import { codeOf, consentFormOf, decisionsOf, demoStudy, keyOf, protocolOf } from "./demo-scenario";
import { readDemoEnvironment } from "./demo-server";

describe("where the demo keeps its data", () => {
  it("is a folder apart from the one of npm start", () => {
    const started = readDemoEnvironment({});
    expect(started.dataDir).toBe(resolve(".data-demo"));
    expect(started.databaseUrl).toBeNull();
  });

  it("is another folder beside a database server, so that one never sweeps the files of the other", () => {
    const onServer = readDemoEnvironment({ DATABASE_URL: "postgresql://localhost/demo", ACRAL_DATA_DIR: "" });
    expect(onServer.dataDir).toBe(resolve(".data-demo-server"));
    expect(onServer.databaseUrl).toBe("postgresql://localhost/demo");
  });

  it("is the folder that ACRAL_DATA_DIR names", () => {
    expect(readDemoEnvironment({ ACRAL_DATA_DIR: "/srv/demo" }).dataDir).toBe("/srv/demo");
  });
});

describe("the progress of the demo", () => {
  function printed(isTTY: boolean, steps: readonly number[]): string {
    const output = new PassThrough();
    const progress = trialProgress(Object.assign(output, { isTTY }));
    for (const step of steps) progress(step, 96);
    return String(output.read() ?? "");
  }

  it("is a line at the start and at each quarter where nobody watches", () => {
    const lines = printed(
      false,
      Array.from({ length: 97 }, (_, i) => i),
    ).split("\n");
    expect(lines.map((line) => /: (\d+) of 96/.exec(line)?.[1] ?? "")).toEqual([
      "0",
      "24",
      "48",
      "72",
      "96",
      "",
    ]);
  });

  it("is one line that is written over on a terminal", () => {
    expect(printed(true, [95, 96])).toBe(
      "\rLoading the invented demo study: 95 of 96 trials …\rLoading the invented demo study: 96 of 96 trials …\n",
    );
  });
});

describe("the demo's scenario in the words of the API", () => {
  it("has a phase for every marker but the last, and a condition for every trial", () => {
    const protocol = protocolOf(demoStudy);
    const phases = protocol.phases.map(({ key }) => key);
    const conditions = protocol.conditions.map(({ key }) => key);
    for (const { markers, condition } of demoStudy.trials) {
      const names = markers.map(({ name }) => name).filter((name) => name !== "End");
      expect(phases.slice(0, names.length)).toEqual(names.map(keyOf));
      expect(conditions).toContain(keyOf(condition));
    }
  });

  it("decides every permission of the consent form, for every volunteer", () => {
    const asked = consentFormOf(demoStudy).permissions.map(({ key }) => key);
    for (const { decisions } of demoStudy.volunteers) {
      expect(Object.keys(decisionsOf(decisions)).sort()).toEqual([...asked].sort());
    }
  });

  it("gives every volunteer a code of their own that no automatic code is like", () => {
    const codes = demoStudy.volunteers.map((_, index) => codeOf(index));
    expect(new Set(codes).size).toBe(24);
    expect(codes.filter((code) => /^V\d/i.test(code))).toEqual([]);
  });
});
