import { describe, expect, it } from "vitest";
import { schemaDrift } from "../../../scripts/schema-engine";
import { testDatabaseKinds } from "../src/testing";

describe("migrations", () => {
  it("say what the schema says", async () => {
    expect(await schemaDrift()).toBeNull();
  });
});

describe.each(testDatabaseKinds())("what the database itself refuses, on $name", (kind) => {
  it("changing, removing or emptying the audit trail", async () => {
    const database = await kind.open();
    try {
      await database.prisma.auditEntry.create({
        data: {
          actorName: "Test",
          action: "study.create",
          subjectKind: "study",
          subjectId: "s",
          subjectLabel: "s",
        },
      });
      for (const sql of [
        "update audit_entry set actor_name = 'Another'",
        "delete from audit_entry",
        "truncate audit_entry",
      ]) {
        await expect(database.query(sql), sql).rejects.toThrow(/never changed or removed/);
      }
      expect(await database.prisma.auditEntry.count()).toBe(1);
    } finally {
      await database.close();
    }
  });

  it("changing the content of a protocol in force, while its state may move on", async () => {
    const database = await kind.open();
    try {
      await database.prisma.study.create({ data: { id: "s", title: "T" } });
      await database.prisma.protocol.create({
        data: { id: "p", studyId: "s", version: 1, state: "in_force", content: { a: 1 } },
      });
      await expect(database.query(`update protocol set content = '{"a":2}'`)).rejects.toThrow(
        /cannot change/,
      );
      await database.prisma.protocol.update({ where: { id: "p" }, data: { state: "retired" } });
      await expect(database.query("update protocol set state = 'draft'")).rejects.toThrow(/cannot change/);
    } finally {
      await database.close();
    }
  });

  it("changing the text of a consent form that people sign, while its state may move on", async () => {
    const database = await kind.open();
    try {
      await database.prisma.study.create({ data: { id: "s", title: "T" } });
      await database.prisma.consentForm.create({
        data: {
          id: "f",
          studyId: "s",
          version: 1,
          state: "in_force",
          title: "A",
          text: "B",
          permissions: [],
        },
      });
      for (const change of ["text = 'C'", "title = 'C'", `permissions = '[{"key":"more"}]'`]) {
        await expect(database.query(`update consent_form set ${change}`), change).rejects.toThrow(
          /cannot change/,
        );
      }
      await database.prisma.consentForm.update({ where: { id: "f" }, data: { state: "retired" } });
      await expect(database.query("update consent_form set state = 'draft'")).rejects.toThrow(
        /cannot change/,
      );
    } finally {
      await database.close();
    }
  });

  it("changing or removing a release that was made", async () => {
    const database = await kind.open();
    try {
      await database.prisma.study.create({ data: { id: "s", title: "T" } });
      const sha256 = "0".repeat(64);
      await database.prisma.release.create({
        data: {
          id: "r",
          studyId: "s",
          number: 1,
          reason: "",
          rule: {},
          report: {},
          sha256,
          sizeBytes: 1,
          madeById: "u",
        },
      });
      for (const sql of ["update release set reason = 'another'", "delete from release"]) {
        await expect(database.query(sql), sql).rejects.toThrow(/never changed or removed/);
      }
      expect(await database.prisma.release.count()).toBe(1);
    } finally {
      await database.close();
    }
  });

  it("two protocols in force at once", async () => {
    const database = await kind.open();
    try {
      await database.prisma.study.create({ data: { id: "s", title: "T" } });
      const inForce = (id: string, version: number) =>
        database.prisma.protocol.create({
          data: { id, studyId: "s", version, state: "in_force", content: {} },
        });
      await inForce("p1", 1);
      await expect(inForce("p2", 2)).rejects.toThrow();
    } finally {
      await database.close();
    }
  });
});
