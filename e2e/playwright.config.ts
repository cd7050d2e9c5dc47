import { defineConfig } from "@playwright/test";

const browser = process.env.ACRAL_TEST_BROWSER;

export default defineConfig({
  testDir: ".",
  testMatch: "*.spec.ts",
  outputDir: "../test-results",
  // Two cores: one browser, one server under test at a time.
  workers: 1,
  fullyParallel: false,
  forbidOnly: true,
  timeout: 240_000,
  expect: { timeout: 15_000 },
  reporter: [["list"]],
  use: {
    actionTimeout: 15_000,
    viewport: { width: 1280, height: 900 },
    trace: "retain-on-failure",
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
