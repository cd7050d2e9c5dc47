import { PGlite } from "@electric-sql/pglite";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { withQuickBytes } from "../src/quick-bytes";

describe("bytes of an embedded database", () => {
  let plain: PGlite;
  let quick: PGlite;
  const everyByte = Uint8Array.from({ length: 1024 }, (_, i) => i % 256);

  beforeAll(async () => {
    plain = await PGlite.create();
    quick = withQuickBytes(plain);
    await quick.exec("create table kept (id int primary key, data bytea, words text)");
  });
  afterAll(() => plain.close());

  it("are the same as the database itself passes them, also from within a larger buffer", async () => {
    const within = everyByte.subarray(3, 700);
    await quick.query("insert into kept values ($1, $2, $3)", [1, within, "\\x00"]);
    for (const database of [quick, plain]) {
      const { rows } = await database.query("select data, words from kept where id = 1");
      expect(rows).toEqual([{ data: within.slice(), words: "\\x00" }]);
    }
  });

  it("pass through transactions, and go with one that is rolled back", async () => {
    await quick.transaction((transaction) =>
      transaction.query("insert into kept values ($1, $2, null)", [2, everyByte]),
    );
    await quick.transaction(async (transaction) => {
      await transaction.query("update kept set data = $1 where id = 2", [new Uint8Array(0)]);
      await transaction.rollback();
    });
    const { rows } = await plain.query("select data from kept where id = 2");
    expect(rows).toEqual([{ data: everyByte }]);
  });

  it("may be empty or missing", async () => {
    await quick.query("insert into kept values (3, $1, null), (4, $2, null)", [new Uint8Array(0), null]);
    const { rows } = await quick.query("select data from kept where id > 2 order by id");
    expect(rows).toEqual([{ data: new Uint8Array(0) }, { data: null }]);
  });

  it("are refused when they are something else", async () => {
    await expect(quick.query("insert into kept values (5, $1, null)", ["\\xff"])).rejects.toThrow(TypeError);
  });
});
