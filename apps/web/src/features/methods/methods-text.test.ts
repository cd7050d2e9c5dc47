import { describe, expect, it } from "vitest";
import { type Methods, markdownMethods, plainMethods, scopeSentence } from "./methods-text";

/** All invented. */
const methods: Methods = {
  title: "Steps | *bench* <b>",
  smallestGroup: 3,
  choice: "accepted",
  counts: { accepted: 2, recorded: 3 },
  withoutConsent: 1,
  volunteers: 2,
  paragraphs: [
    { title: "Camera", text: "Camera: A_B [new]\n| x." },
    { title: "Room", text: "Air temperature: 23 °C." },
  ],
  items: [
    {
      key: "distance",
      number: 9,
      name: "Distance",
      asks: "",
      recorded: 1,
      missing: 1,
      notApplicable: 0,
      lacks: [{ what: "the distance", place: "trial", trials: 1 }],
    },
    {
      key: "reference-source",
      number: null,
      name: "Reference source",
      asks: "",
      recorded: 2,
      missing: 0,
      notApplicable: 0,
      lacks: [],
    },
  ],
  countedItems: 15,
  missingEverywhere: [{ key: "warm-up", name: "Camera warm-up and calibration" }],
  lacking: [
    {
      trialId: "t",
      label: "V1 · bare | hands · occasion 1",
      recorded: 13,
      notApplicable: 0,
      missing: [{ key: "distance", name: "Distance", lacks: [] }],
    },
  ],
  complete: 1,
  source: "A list.",
};

describe("the methods as text", () => {
  it("are the paragraphs, each with its title, and nothing else", () => {
    expect(plainMethods(methods)).toBe("Camera. Camera: A_B [new]\n| x.\n\nRoom. Air temperature: 23 °C.");
    expect(plainMethods({ paragraphs: [] })).toBe("");
  });

  it("say over which trials they speak, and how many are left out", () => {
    expect(scopeSentence(methods)).toBe(
      "Over 2 trials that are accepted. 1 more is left out, since consent is not in force.",
    );
    expect(
      scopeSentence({
        ...methods,
        choice: "recorded",
        counts: { accepted: 0, recorded: 1 },
        withoutConsent: 0,
      }),
    ).toBe("Over 1 trial that is recorded, checked or accepted.");
  });
});

describe("the methods as Markdown", () => {
  const lines = markdownMethods(methods).split("\n");

  it("let nothing that somebody typed become markup, or break a row", () => {
    expect(lines[0]).toBe("# Methods: Steps \\| \\*bench\\* \\<b\\>");
    expect(lines).toContain("Camera: A\\_B \\[new\\] \\| x.");
    expect(lines).toContain("- V1 · bare \\| hands · occasion 1: Distance");
  });

  it("hold the completeness item by item, and name what every trial lacks once", () => {
    expect(lines).toContain("| 9 | Distance | 1 | 1 | 0 | the distance in the imaging record (1 trial) |");
    expect(lines).toContain("| – | Reference source | 2 | 0 | 0 |  |");
    expect(lines).toContain("Missing in every trial: Camera warm-up and calibration.");
    expect(lines).toContain("Nothing else is missing in 1 of 2 trials.");
  });
});
