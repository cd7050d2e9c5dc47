import { type SpawnOptions, spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { createConnection } from "node:net";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { findOrInstallBrowser } from "./browser";
import { buildIfNeeded, root } from "./build";
import { checkApiStructure } from "./check-api-structure";
import { generateClient } from "./generate-client";

/**
 * `npm test`: everything that CI runs, in the order in which it fails soonest. `npm test <step> …` runs single steps.
 */

const bin = (name: string) => join(root, "node_modules", ...name.split("/"));
const node = (args: string[], env: NodeJS.ProcessEnv = {}) =>
  run(process.execPath, args, { env: { ...process.env, ...env } });

function run(command: string, args: string[], options: SpawnOptions): Promise<void> {
  return new Promise((resolve, reject) => {
    const child = spawn(command, args, { cwd: root, stdio: "inherit", ...options });
    child.on("error", reject);
    child.on("close", (code) => (code === 0 ? resolve() : reject(new Error(`ended with ${code}`))));
  });
}

function reachable(address: string): Promise<boolean> {
  const { hostname, port } = new URL(address);
  return new Promise((resolve) => {
    const socket = createConnection({ host: hostname, port: Number(port || 5432) });
    const answer = (value: boolean) => {
      socket.destroy();
      resolve(value);
    };
    socket.setTimeout(2000, () => answer(false));
    socket.once("connect", () => answer(true));
    socket.once("error", () => answer(false));
  });
}

/** The server that integration tests make their databases on; null when there is none and that is allowed. */
async function testServer(): Promise<string | null> {
  const named = process.env.ACRAL_TEST_SERVER_URL;
  const address = named ?? "postgresql://postgres@127.0.0.1:5432/postgres";
  if (await reachable(address)) return address;
  const what = `No PostgreSQL server answers at ${new URL(address).host}`;
  if (process.env.CI !== undefined && process.env.CI !== "") throw new Error(`${what}, and CI requires one.`);
  console.log(
    `\n${what}: the tests on a PostgreSQL server are SKIPPED. Set ACRAL_TEST_SERVER_URL to run them.\n`,
  );
  return null;
}

const steps: Record<string, () => Promise<void>> = {
  client: async () => generateClient(),
  types: async () => {
    await node([bin("tsc7/bin/tsc"), "--noEmit", "-p", "tsconfig.json"]);
    if (!existsSync(join(root, "apps/web/next-env.d.ts"))) {
      await node([fileURLToPath(import.meta.resolve("next/dist/bin/next")), "typegen", "apps/web"]);
    }
    await node([bin("tsc7/bin/tsc"), "--noEmit", "-p", "apps/web/tsconfig.json"]);
  },
  lint: () => node([bin("@biomejs/biome/bin/biome"), "ci", "."]),
  dependencies: () =>
    node([
      bin("dependency-cruiser/bin/dependency-cruise.mjs"),
      "packages",
      "apps/web/src",
      "scripts",
      "--config",
      ".dependency-cruiser.cjs",
    ]),
  structure: async () => checkApiStructure(),
  unused: () => node([bin("knip/bin/knip.js"), "--no-config-hints"]),
  unit: async () => {
    const server = await testServer();
    await node([bin("vitest/vitest.mjs"), "run"], { ACRAL_TEST_SERVER_URL: server ?? "" });
  },
  build: () => buildIfNeeded(),
  browser: async () => {
    const browser = await findOrInstallBrowser();
    await node([bin("@playwright/test/cli.js"), "test", "--config", "e2e/playwright.config.ts"], {
      ACRAL_TEST_BROWSER: browser,
    });
  },
};

const wanted = process.argv.slice(2);
for (const name of wanted) {
  if (!(name in steps)) {
    console.error(`There is no step ${name}; the steps are ${Object.keys(steps).join(", ")}.`);
    process.exit(1);
  }
}

let passed = 0;
for (const [name, step] of Object.entries(steps)) {
  if (wanted.length > 0 && !wanted.includes(name)) continue;
  const began = Date.now();
  console.log(`\n── ${name}`);
  try {
    await step();
  } catch (error) {
    console.error(`\n✗ ${name}: ${error instanceof Error ? error.message : error}`);
    console.log(`${passed} passed, 1 failed`);
    process.exit(1);
  }
  passed++;
  console.log(`✓ ${name} (${((Date.now() - began) / 1000).toFixed(1)} s)`);
}
console.log(`${passed} passed, 0 failed`);
