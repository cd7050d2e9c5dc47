import { describe, expect, it } from "vitest";
import { ownedRows } from "../src/erasure/policy";

const reference = (child: string, column: string, parent: string) => ({
  child,
  column,
  parent,
  parentColumn: "id",
});

describe("what belongs to a volunteer", () => {
  it("is everything that hangs on it by references, children before parents, but for what is kept", () => {
    const owned = ownedRows(
      [
        reference("trial", "volunteer_id", "volunteer"),
        reference("file", "trial_id", "trial"),
        reference("trace", "file_id", "file"),
        reference("trace", "trial_id", "trial"),
        reference("file", "successor_id", "file"),
        reference("release_volunteer", "volunteer_id", "volunteer"),
        reference("trial", "study_id", "study"),
        reference("other", "study_id", "study"),
      ],
      "volunteer",
      "id = $1",
    );
    const trials = `"volunteer_id" in (select "id" from "volunteer" where id = $1)`;
    const files = `"trial_id" in (select "id" from "trial" where ${trials})`;
    expect(owned).toEqual([
      { table: "trace", where: `"file_id" in (select "id" from "file" where ${files}) or ${files}` },
      { table: "file", where: files },
      { table: "trial", where: trials },
    ]);
  });

  it("cannot be told when references run in a circle", () => {
    const circle = [reference("a", "v", "volunteer"), reference("b", "a", "a"), reference("a", "b", "b")];
    expect(() => ownedRows(circle, "volunteer", "id = $1")).toThrow(/circle: volunteer → a → b → a/);
  });
});
