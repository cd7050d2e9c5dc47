import { fileURLToPath } from "node:url";
import { chromium } from "@playwright/test";
import { build } from "esbuild";
import { expect, it } from "vitest";
import { findOrInstallBrowser } from "../../../scripts/browser";
import { allSamples } from "./sample/all-samples";

it("gives the same bytes in a browser's worker as in Node, for every exported function", async () => {
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
        new Promise<Record<string, string>>((resolve, reject) => {
          const worker = new Worker(URL.createObjectURL(new Blob([source], { type: "text/javascript" })));
          worker.onmessage = ({ data }) => resolve(data);
          worker.onerror = (event) => reject(new Error(event.message));
        }),
      code,
    );
    const here = allSamples();
    expect(Object.keys(result)).toEqual(Object.keys(here));
    expect(Object.keys(here).filter((name) => result[name] !== here[name])).toEqual([]);
  } finally {
    await browser.close();
  }
}, 300_000);
