import { describe, expect, it } from "vitest";
import { forbiddenStringsOf, IdentityScan } from "../src/identity-scan";

describe("The search for identities", () => {
  const scan = new IdentityScan(["V-007", "Ann", "Pádraig Ó Cuinn", "ann@mail.example", "Li"]);

  it("finds a string whatever its case, accents and separators", () => {
    for (const text of [
      "see V-007.",
      "v007",
      "V_007",
      "padraig o cuinn",
      "PÁDRAIG  Ó CUINN",
      "mail ann@mail.example",
    ]) {
      expect(scan.finds(text), text).toBe(true);
    }
  });

  it("finds whole words only", () => {
    for (const text of ["channel", "V-0071", "annual", "list"]) expect(scan.finds(text), text).toBe(false);
  });

  it("takes a name of two letters only as it is written", () => {
    expect(scan.finds("with Li")).toBe(true);
    expect(scan.finds("li")).toBe(false);
  });

  it("excuses a plain word that every release uses, but no code and no longer string", () => {
    const hand = new IdentityScan(["Hand", "Odd Hand", "V-007"]);
    hand.excuse("the right hand V-007 odd");
    expect(hand.finds("Right hand, palm")).toBe(false);
    expect(hand.finds("Odd Hand")).toBe(true);
    expect(hand.finds("V-007")).toBe(true);
  });
});

describe("What must not leave the study of one volunteer", () => {
  it("is the code, the name and its parts, each contact, and the birth date in the usual orders", () => {
    const strings = forbiddenStringsOf({
      code: "V-007",
      name: "Odd van Hand",
      contacts: ["Pier 4; odd@mail.example, +47 555 01 099"],
      birthDate: "1997-02-04",
    });
    for (const wanted of ["V-007", "Odd van Hand", "Hand", "Pier 4", "odd@mail.example", "+47 555 01 099"]) {
      expect(strings).toContain(wanted);
    }
    for (const wanted of ["1997-02-04", "04.02.1997", "02/04/1997", "4.2.1997"])
      expect(strings).toContain(wanted);
  });
});
