import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { ConsoleMessage, Page } from "@playwright/test";

/** The widths at which every screen has to work: a desk, a tablet held upright, a phone. */
const widths = [1440, 820, 390] as const;
const standards = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];
/** The rules whose answer depends on colours, on the width, or on what a width shows; the others are asked once. */
const rulesOfAppearance = [
  "aria-hidden-focus",
  "button-name",
  "color-contrast",
  "label",
  "link-in-text-block",
  "link-name",
  "nested-interactive",
  "scrollable-region-focusable",
  "select-name",
  "target-size",
];

/** Where pictures of every screen go, for whoever wants to look at them; without it none are taken. */
const pictures = process.env.ACRAL_PICTURES_OF_SCREENS || undefined;

type Scheme = "light" | "dark";

async function becomes(page: Page, width: number, scheme: Scheme): Promise<void> {
  await page.emulateMedia({ colorScheme: scheme, reducedMotion: "reduce" });
  await page.setViewportSize({ width, height: 900 });
  // Figures measure their frame, which takes a frame of its own.
  await page.evaluate(
    () => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))),
  );
}

/** By how many pixels the page is wider than its window, and what sticks out. */
async function overflow(page: Page): Promise<string | null> {
  return page.evaluate(() => {
    const { scrollWidth, clientWidth } = document.documentElement;
    if (scrollWidth <= clientWidth) return null;
    const widest = [...document.querySelectorAll("body *")]
      .filter((element) => element.getBoundingClientRect().right > clientWidth + 1)
      .slice(0, 3)
      .map((element) => element.outerHTML.slice(0, 120));
    return `${scrollWidth - clientWidth} px too wide: ${widest.join(" … ")}`;
  });
}

/** What axe finds against WCAG 2.2 A and AA, one line each; without tags, by the rules of appearance alone. */
async function violations(page: Page, at: string, tags: readonly string[] | null): Promise<string[]> {
  const axe = new AxeBuilder({ page });
  const found = await (tags === null ? axe.withRules(rulesOfAppearance) : axe.withTags([...tags])).analyze();
  return found.violations.flatMap(({ id, help, nodes }) =>
    nodes.map((node) => `${at}: ${id} (${help}): ${node.target.join(" ")}`),
  );
}

/**
 * Everything that is wrong with what the page shows now, one line each: at every width, in both schemes. The window is
 * left as wide as it was found, in the light scheme.
 */
export async function faultsOfScreen(page: Page, name: string): Promise<readonly string[]> {
  const before = page.viewportSize();
  const faults: string[] = [];
  for (const scheme of ["light", "dark"] as const) {
    for (const width of widths) {
      const narrowest = width === widths.at(-1);
      // The scheme moves nothing: in the dark one width says all, unless somebody wants to look.
      if (scheme === "dark" && !narrowest && pictures === undefined) continue;
      await becomes(page, width, scheme);
      const at = `${name}, ${width} px, ${scheme}`;
      if (pictures !== undefined) await picture(page, pictures, `${name} ${width} ${scheme}`);
      const tooWide = await overflow(page);
      if (tooWide !== null) faults.push(`${at}: ${tooWide}`);
      // Each scheme once, at the two ends of what the layout does.
      if (width === widths[0] && scheme === "light") faults.push(...(await violations(page, at, standards)));
      if (narrowest && scheme === "dark") faults.push(...(await violations(page, at, null)));
    }
  }
  if (before !== null) await page.setViewportSize(before);
  await page.emulateMedia({ colorScheme: "light", reducedMotion: "reduce" });
  return faults;
}

async function picture(page: Page, folder: string, name: string): Promise<void> {
  mkdirSync(folder, { recursive: true });
  const inDialog = (await page.getByRole("dialog").count()) > 0;
  await page.screenshot({
    path: join(folder, `${name}.png`),
    fullPage: !inDialog,
    animations: "disabled",
  });
}

/**
 * Collects what the browser complains of: errors of scripts, and what the Content-Security-Policy stopped. `expected`
 * names the answers that a test provokes on purpose, such as a page that does not exist.
 */
export function watchConsole(page: Page, expected: (text: string) => boolean): readonly string[] {
  const complaints: string[] = [];
  const note = (text: string) => {
    if (!expected(text)) complaints.push(text);
  };
  page.on("console", (message: ConsoleMessage) => {
    if (message.type() === "error" || message.text().includes("Content Security Policy")) {
      note(`${message.text()} (${message.location().url})`);
    }
  });
  page.on("pageerror", (error) => note(error.message));
  return complaints;
}
