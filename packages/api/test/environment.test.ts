import { isAbsolute } from "node:path";
import { describe, expect, it } from "vitest";
import { EnvironmentError, readEnvironment } from "../src/environment";

describe("the environment", () => {
  it("may be empty: the embedded database in ./.data, on this machine alone", () => {
    const environment = readEnvironment({});
    expect(environment).toMatchObject({
      databaseUrl: null,
      identityKeyHex: null,
      host: "127.0.0.1",
      port: 3000,
      address: "http://127.0.0.1:3000",
    });
    expect(isAbsolute(environment.dataDir)).toBe(true);
  });

  it("takes an empty value for an absent one, as compose files pass it on", () => {
    expect(readEnvironment({ DATABASE_URL: "", ACRAL_ADDRESS: "" }).databaseUrl).toBeNull();
  });

  it.each([
    [{ DATABASE_URL: "mysql://x" }, /DATABASE_URL must begin with postgresql:/],
    [{ ACRAL_IDENTITY_KEY: "abc" }, /ACRAL_IDENTITY_KEY must be 64 hexadecimal digits/],
    [{ ACRAL_ADDRESS: "acral.example.org" }, /ACRAL_ADDRESS must be a web address/],
    [{ PORT: "http" }, /PORT /],
    [{ PORT: "70000", DATABASE_URL: "x" }, /DATABASE_URL .*PORT /],
  ])("says in one line what is wrong with %o", (variables, message) => {
    expect(() => readEnvironment(variables)).toThrow(EnvironmentError);
    expect(() => readEnvironment(variables)).toThrow(message);
    try {
      readEnvironment(variables);
    } catch (error) {
      expect(error instanceof Error && error.message.includes("\n")).toBe(false);
    }
  });

  it("never repeats a secret that it refuses", () => {
    expect(() => readEnvironment({ ACRAL_IDENTITY_KEY: "my secret passphrase" })).toThrow(
      expect.objectContaining({ message: expect.not.stringContaining("passphrase") }),
    );
  });
});
