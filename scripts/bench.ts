import { readdirSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

/** One measured figure beside its reference, measured in the same run. */
export interface BenchLine {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly reference: { readonly what: string; readonly value: number };
  /** How many times better than the reference. */
  readonly ratio: number;
  /** The bound in words, for instance "under 60 ms". */
  readonly wanted: string;
  readonly ok: boolean;
}

/** What a bench file exports. */
interface BenchModule {
  readonly run: () => Promise<readonly BenchLine[]>;
}

const root = fileURLToPath(new URL("..", import.meta.url));

function benchFiles(): string[] {
  const packages = join(root, "packages");
  return readdirSync(packages)
    .map((name) => join(packages, name, "bench"))
    .flatMap((folder) => filesIn(folder).map((file) => join(folder, file)))
    .filter((file) => file.endsWith(".bench.ts"))
    .sort();
}

function filesIn(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch (error) {
    if (error instanceof Error && "code" in error && error.code === "ENOENT") return [];
    throw error;
  }
}

function figure(value: number): string {
  return Math.abs(value) >= 100 ? value.toFixed(0) : value.toPrecision(3);
}

function printed(line: BenchLine): string {
  const { name, value, unit, reference, ratio, wanted, ok } = line;
  return `bench ${name}: ${figure(value)} ${unit}, reference ${reference.what} ${figure(reference.value)} ${unit}, ratio ${figure(ratio)}, wanted ${wanted}, ${ok ? "ok" : "short"}`;
}

const usage =
  "Usage: npm run bench [name] [--json FILE], where name is a bench file or the beginning of a figure's name.";

/** npm keeps `--json` for itself and passes its FILE on alone, last; after `--` it passes both. */
function readArguments(
  given: readonly string[],
  npmTookJson: boolean,
): { name: string | null; json: string | null } {
  const rest = [...given];
  let json: string | null = null;
  const at = rest.indexOf("--json");
  if (at >= 0) {
    json = rest[at + 1] ?? null;
    rest.splice(at, 2);
  } else if (npmTookJson) {
    json = rest.pop() ?? null;
  }
  if ((at >= 0 || npmTookJson) && json === null)
    throw new Error(`--json needs the name of a file to write. ${usage}`);
  const [name = null, ...more] = rest;
  if (more.length > 0 || name?.startsWith("-"))
    throw new Error(`Not understood: ${rest.join(" ")}. ${usage}`);
  return { name, json };
}

async function main(): Promise<void> {
  const { name, json } = readArguments(process.argv.slice(2), process.env.npm_config_json === "true");
  const files = benchFiles();
  const named = files.filter((file) => name === null || basename(file, ".bench.ts") === name);
  const lines: BenchLine[] = [];
  for (const file of named.length > 0 ? named : files) {
    const { run } = (await import(pathToFileURL(file).href)) as BenchModule;
    for (const line of await run()) {
      if (named.length === 0 && name !== null && !line.name.startsWith(name)) continue;
      lines.push(line);
      console.log(printed(line));
    }
  }
  if (lines.length === 0) {
    const known = files.map((file) => basename(file, ".bench.ts")).join(", ");
    throw new Error(`No bench is named "${name}". The bench files are: ${known}.`);
  }
  if (json !== null) writeFileSync(json, `${JSON.stringify(lines, null, 2)}\n`);
}

// Imported for its type by the bench files; run only as a command.
if (process.argv[1] !== undefined && import.meta.url === pathToFileURL(process.argv[1]).href) {
  main().catch((error: unknown) => {
    console.error(error instanceof Error ? error.message : error);
    process.exitCode = 1;
  });
}
