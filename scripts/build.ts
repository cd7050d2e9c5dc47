import { spawn } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import { generateClientIfNeeded } from "./generate-client";

/** Builds the app when anything that it is made of has changed since the last build. */

export const root = fileURLToPath(new URL("..", import.meta.url));
const stampFile = join(root, "apps/web/.next/built-from");

/** Every file that the app is made of; what is generated, and tests, are not. */
function sourceFiles(): string[] {
  const inside = (folder: string) =>
    readdirSync(join(root, folder), { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => relative(root, join(entry.parentPath, entry.name)))
      .filter((path) => !/[\\/](generated|node_modules|\.next)[\\/]|\.test\.tsx?$/.test(path));
  const packages = readdirSync(join(root, "packages")).flatMap((name) =>
    inside(join("packages", name, "src")),
  );
  const config = readdirSync(join(root, "apps/web"))
    .filter((name) => /\.(ts|mjs|json)$/.test(name) && name !== "next-env.d.ts")
    .map((name) => join("apps/web", name));
  const schema = readdirSync(join(root, "prisma"))
    .filter((name) => name.endsWith(".prisma"))
    .map((name) => join("prisma", name));
  return ["package-lock.json", ...schema, ...config, ...packages, ...inside("apps/web/src")].sort();
}

function sourceDigest(): string {
  const hash = createHash("sha256").update(process.version);
  for (const file of sourceFiles()) hash.update(`${file}\0`).update(readFileSync(join(root, file)));
  return hash.digest("hex");
}

/** Runs a command to its end; its output is shown only when it fails. */
export function runQuietly(
  command: string,
  args: string[],
  env: NodeJS.ProcessEnv,
  cwd: string,
): Promise<void> {
  return new Promise((resolve, reject) => {
    const child = spawn(command, args, { cwd, env, stdio: ["ignore", "pipe", "pipe"] });
    let output = "";
    child.stdout.on("data", (chunk: Buffer) => {
      output += chunk.toString();
    });
    child.stderr.on("data", (chunk: Buffer) => {
      output += chunk.toString();
    });
    child.on("error", reject);
    child.on("close", (code) => {
      if (code === 0) resolve();
      else reject(new Error(`${command} ${args.join(" ")} ended with ${code}:\n${output}`));
    });
  });
}

export async function buildIfNeeded(): Promise<void> {
  generateClientIfNeeded();
  const digest = sourceDigest();
  if (existsSync(stampFile) && readFileSync(stampFile, "utf8") === digest) return;
  console.log("Building (about a minute, only when something changed) …");
  const next = fileURLToPath(import.meta.resolve("next/dist/bin/next"));
  await runQuietly(
    process.execPath,
    [next, "build"],
    { ...process.env, NODE_ENV: "production", NEXT_TELEMETRY_DISABLED: "1" },
    join(root, "apps/web"),
  );
  writeFileSync(stampFile, digest);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) await buildIfNeeded();
