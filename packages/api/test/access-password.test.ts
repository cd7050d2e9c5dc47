import { describe, expect, it } from "vitest";
import { passwordComplaint } from "../src/account/policy";
import { newPassword } from "../src/account/schema";

const own = ["Ina Sandholm", "ina.sandholm@example.org", "Cold hands on the ferry"];

describe("a password", () => {
  it.each([
    ["among the most common of published breaches", "1qaz2wsx3edc", /most common ones/],
    ["the same in capitals", "QWERTY123456", /most common ones/],
    ["the same with spaces", "fin al fant asy", /most common ones/],
    ["a common one with a year and a sign", "password2026!", /with something added/],
    ["a common one between signs", "!!!sunshine!!!", /with something added/],
    ["one word again and again", "tidetidetide", /repeats itself/],
    ["digits that count", "234567890123", /counts on/],
    ["letters that count down", "onmlkjihgfed", /counts on/],
    ["the name and a year", "InaSandholm1984", /made of your name/],
    ["the address", "sandholm@example.org", /made of your name/],
    ["this program", "acral-2026-01", /made of your name/],
    ["the study", "ColdHandsFerry1", /made of your name/],
  ])("that is %s is refused in words", (_, password, words) => {
    expect(passwordComplaint(password, own)).toMatch(words);
  });

  it.each([
    "four words in a row",
    "kelp on the third stair",
    "Fähre über den Sund um acht",
    "朝の海は静かで冷たい風が吹く",
    "🦑🌊🪨🐚🦀⛵️🧤🧊🌬️🪵🐟🦭",
    "ina likes herons by the pier",
    `aaa heron ${"x".repeat(118)}`,
  ])("such as %s is taken, whatever signs it is made of", (password) => {
    expect(passwordComplaint(password, own)).toBeNull();
    expect(newPassword.safeParse(password).success).toBe(true);
  });

  it("has 12 to 128 characters, and loses none at its ends", () => {
    expect(newPassword.safeParse("eleven sign").success).toBe(false);
    expect(newPassword.safeParse("x".repeat(129)).success).toBe(false);
    expect(newPassword.parse("  spaces at both ends  ")).toBe("  spaces at both ends  ");
  });
});
