import { fileURLToPath } from "node:url";
import { chromium } from "@playwright/test";
import { build } from "esbuild";
import { expect, it } from "vitest";
import { findOrInstallBrowser } from "../../../scripts/browser";
import { sampleComputations } from "./sample-computations";

it("gives the same bytes in a browser's worker as in Node", async () => {
  const bundle = await build({
    entryPoints: [fileURLToPath(new URL("./worker-entry.ts", import.meta.url))],
    bundle: true,
    format: "iife",
    platform: "browser",
    write: false,
    logLevel: "silent",
  });
  const code = bundle.outputFiles[0]?.text ?? "";
  const browser = await chromium.launch({ executablePath: findOrInstallBrowser(), args: ["--no-sandbox"] });
  try {
    const page = await browser.newPage();
    const result = await page.evaluate(
      (source) =>
        new Promise<string>((resolve, reject) => {
          const worker = new Worker(URL.createObjectURL(new Blob([source], { type: "text/javascript" })));
          worker.onmessage = ({ data }) => resolve(String(data));
          worker.onerror = (event) => reject(new Error(event.message));
        }),
      code,
    );
    expect(result).toBe(sampleComputations());
  } finally {
    await browser.close();
  }
}, 300_000);
