import { createHash } from "node:crypto";
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { z } from "zod";
import type { FuzzInput } from "./fuzz-input";

const folder = fileURLToPath(new URL("./findings/", import.meta.url));

const findingSchema = z.strictObject({
  about: z.string(),
  changes: z.array(z.strictObject({ field: z.string(), value: z.unknown() })),
  base64: z.base64(),
});

/** Inputs that once showed a defect, as small as they could be made. */
export function storedFindings(): (FuzzInput & { name: string; about: string })[] {
  mkdirSync(folder, { recursive: true });
  return readdirSync(folder)
    .filter((name) => name.endsWith(".json"))
    .sort()
    .map((name) => {
      const { about, changes, base64 } = findingSchema.parse(
        JSON.parse(readFileSync(`${folder}${name}`, "utf8")),
      );
      return { name, about, changes, bytes: new Uint8Array(Buffer.from(base64, "base64")) };
    });
}

/** Writes a finding down and returns its name; the same bytes and changes have the same name. */
export function storeFinding({ bytes, changes }: FuzzInput, kind: string, about: string): string {
  const digest = createHash("sha256").update(bytes).update(JSON.stringify(changes)).digest("hex");
  const name = `${kind.replaceAll(" ", "-")}-${digest.slice(0, 10)}.json`;
  const text = JSON.stringify({ about, changes, base64: Buffer.from(bytes).toString("base64") }, null, 2);
  mkdirSync(folder, { recursive: true });
  writeFileSync(`${folder}${name}`, `${text}\n`);
  return name;
}
