import { defineConfig } from "@playwright/test";

const browser = process.env.ACRAL_TEST_BROWSER;

export default defineConfig({
  testDir: ".",
  testMatch: "*.spec.ts",
  outputDir: "../test-results",
  // Each journey has a browser and a server of its own and mostly waits for one of them: three at once keep two cores busy.
  workers: 3,
  fullyParallel: false,
  forbidOnly: true,
  timeout: 360_000,
  expect: { timeout: 30_000 },
  reporter: [["list"]],
  use: {
    actionTimeout: 30_000,
    viewport: { width: 1280, height: 900 },
    // What was done, and a picture where it failed: filming every page slows all of them down.
    trace: { mode: "retain-on-failure", screenshots: false, snapshots: false, sources: false },
    screenshot: "only-on-failure",
    launchOptions: {
      ...(browser === undefined ? {} : { executablePath: browser }),
      // Chromium refuses to run as root inside its sandbox; the rest keeps it from calling home.
      args: [
        ...(process.getuid?.() === 0 ? ["--no-sandbox"] : []),
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--no-first-run",
      ],
    },
  },
});
