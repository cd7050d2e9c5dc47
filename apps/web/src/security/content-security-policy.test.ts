import { describe, expect, it } from "vitest";
import { config } from "../proxy";
import { contentSecurityPolicy } from "./content-security-policy";

const directives = (policy: string) =>
  new Map(
    policy.split("; ").map((part) => [part.slice(0, part.indexOf(" ")), part.slice(part.indexOf(" ") + 1)]),
  );

describe("the Content-Security-Policy", () => {
  it("lets scripts run only with the nonce of the request", () => {
    const scripts = directives(contentSecurityPolicy("abc", { development: false })).get("script-src");
    expect(scripts).toBe("'self' 'nonce-abc' 'strict-dynamic'");
  });

  it("allows evaluation in development and nowhere else", () => {
    expect(contentSecurityPolicy("abc", { development: true })).toContain("'unsafe-eval'");
    expect(contentSecurityPolicy("abc", { development: false })).not.toContain("eval");
  });

  it("allows unnamed styles in attributes only, never in style elements or scripts", () => {
    const all = directives(contentSecurityPolicy("abc", { development: false }));
    const inline = [...all].filter(([, value]) => value.includes("'unsafe-inline'")).map(([name]) => name);
    expect(inline).toEqual(["style-src-attr"]);
  });

  it("names no origin but this one", () => {
    expect(contentSecurityPolicy("abc", { development: false })).not.toMatch(/https?:|\*/);
  });
});

describe("the paths that pass through the proxy", () => {
  const [pattern] = config.matcher;
  const passes = (path: string) => new RegExp(`^${pattern}$`).test(path);

  it("are the pages", () => {
    for (const path of ["/", "/studies", "/studies/01J/trials", "/sign-in", "/apiary"])
      expect(passes(path)).toBe(true);
  });

  it("are never uploads, downloads or the API, whose bodies a proxy would cut", () => {
    for (const path of ["/api/trpc/study.list", "/api/studies/01J/files", "/api/auth/sign-in/email"]) {
      expect(passes(path)).toBe(false);
    }
  });
});
