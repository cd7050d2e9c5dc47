import { readdirSync } from "node:fs";
import { join } from "node:path";
import { root } from "./build";

const vocabulary = ["router.ts", "service.ts", "policy.ts", "schema.ts"];

/** A noun's folder in packages/api holds only the four kinds of file that DEVELOPERS.md names. */
export function checkApiStructure(): void {
  const src = join(root, "packages/api/src");
  const strangers = readdirSync(src, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .flatMap((noun) => readdirSync(join(src, noun.name)).map((file) => `${noun.name}/${file}`))
    .filter((path) => !vocabulary.includes(path.split("/")[1] ?? ""));
  if (strangers.length > 0) {
    throw new Error(
      `packages/api/src/<noun>/ holds only ${vocabulary.join(", ")}; move what is in ${strangers.join(", ")} there, to another noun, or to its package.`,
    );
  }
}
