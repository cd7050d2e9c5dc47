import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { chromium } from "@playwright/test";

const places = [
  "/usr/bin/chromium",
  "/usr/bin/chromium-browser",
  "/usr/bin/google-chrome",
  "/usr/bin/google-chrome-stable",
  "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
  "/Applications/Chromium.app/Contents/MacOS/Chromium",
];

function found(): string | null {
  const named = process.env.ACRAL_TEST_BROWSER;
  const candidates = [
    ...(named === undefined || named === "" ? [] : [named]),
    ...places,
    chromium.executablePath(),
  ];
  return candidates.find((path) => existsSync(path)) ?? null;
}

function install(command: string, args: string[]): void {
  const result = spawnSync(command, args, {
    stdio: "inherit",
    env: { ...process.env, DEBIAN_FRONTEND: "noninteractive" },
  });
  if (result.status !== 0) throw new Error(`${command} ${args.join(" ")} failed`);
}

/** The path of a Chromium: Debian's, or Playwright's own. Installs one where there is none. */
export function findOrInstallBrowser(): string {
  const there = found();
  if (there !== null) return there;
  if (process.getuid?.() === 0 && existsSync("/usr/bin/apt-get")) {
    console.log("Installing Debian's Chromium …");
    install("apt-get", ["update", "-qq"]);
    install("apt-get", ["install", "-y", "-qq", "--no-install-recommends", "chromium", "fonts-liberation"]);
  } else {
    console.log("Installing Playwright's Chromium …");
    install("npx", ["playwright", "install", "chromium"]);
  }
  const installed = found();
  if (installed === null)
    throw new Error("No Chromium was found after installing one. Set ACRAL_TEST_BROWSER to its path.");
  return installed;
}
