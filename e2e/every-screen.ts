import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Page } from "@playwright/test";
import { faultsOfScreen, watchConsole } from "./look-at-screen";
import { expect } from "./server";

/** A title and names as long as people write them: they must not push anything out of sight. */
export const longNames = {
  title:
    "Do the forearms of people who step on a bench with insulated gloves rewarm while they are still stepping?",
  lead: "Wilhelmina-Charlotte von Ostertag-Lindqvist",
  conditions: ["bare hands", "insulated gloves to the wrist"],
} as const;

/** A file of the test, by its name. */
export const testFile = (name: string) => join(fileURLToPath(new URL("./files/", import.meta.url)), name);

/**
 * What a journey over the screens does at each of them: no finding of WCAG 2.2 AA, no page wider than its window, no
 * complaint of the browser. `refused` names the answers that the journey provokes, as "404 .*" and the end of the address.
 */
export function lookAround(page: Page, refused: readonly string[]) {
  const expected = refused.map((answer) => new RegExp(`responded with a status of ${answer}`));
  const watch = (at: Page) => watchConsole(at, (text) => expected.some((answer) => answer.test(text)));
  const complaints = [watch(page)];
  const faults: string[] = [];
  return {
    async look(name: string, at: Page = page): Promise<void> {
      await settled(at);
      faults.push(...(await faultsOfScreen(at, name)));
    },
    /** Listens to what the browser complains of on another page too. */
    watch(at: Page): void {
      complaints.push(watch(at));
    },
    holds(): void {
      expect(faults).toEqual([]);
      expect(complaints.flat()).toEqual([]);
    },
  };
}

/** Nothing is being read any more. */
export async function settled(page: Page): Promise<void> {
  await expect(page.locator("main")).toBeVisible();
  await expect(page.locator("[aria-busy=true]")).toHaveCount(0);
  await expect(page.getByRole("status").filter({ hasText: / …$/ })).toHaveCount(0);
}
