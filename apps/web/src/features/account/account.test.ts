import { describe, expect, it } from "vitest";
import { pathAfterSignIn } from "./sign-in-client";

describe("where signing in leads", () => {
  it("is the page that was asked for", () => {
    expect(pathAfterSignIn("/studies/abc/trials?page=2")).toBe("/studies/abc/trials?page=2");
  });

  it("is never another site, and never the sign-in page again", () => {
    for (const then of [
      "//evil.example",
      "https://evil.example",
      "/\\evil.example",
      "javascript:alert(1)",
      "/sign-in",
      "",
      undefined,
    ]) {
      expect(pathAfterSignIn(then)).toBe("/studies");
    }
  });
});
