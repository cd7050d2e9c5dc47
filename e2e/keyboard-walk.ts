import { expect, type Locator, type Page } from "@playwright/test";

interface Walk {
  /** What could be reached by Tab and was not, what came out of order, and where the focus was not to be seen. */
  readonly faults: readonly string[];
  readonly elements: number;
}

/**
 * Notes everything that the Tab key should reach, in the order of the page, and how it looks without the focus; then
 * listens to where the focus goes. Runs in the page.
 */
function listen(within: string): number {
  const root = document.querySelector(within) ?? document;
  const chosen = new Set<string>();
  const elements = [
    ...root.querySelectorAll<HTMLElement>(
      "a[href], button, input, select, textarea, summary, [tabindex], [contenteditable=true]",
    ),
  ].filter((element) => {
    if (element.tabIndex < 0 || element.matches(":disabled") || element.closest("[inert]") !== null)
      return false;
    if (!element.checkVisibility({ visibilityProperty: true })) return false;
    if (!(element instanceof HTMLInputElement) || element.type !== "radio") return true;
    // Of a group of choices one is reached by Tab, and the others by arrows.
    const group = [...document.getElementsByName(element.name)].filter(
      (other): other is HTMLInputElement => other instanceof HTMLInputElement && other.type === "radio",
    );
    const stands = group.find(({ checked }) => checked) ?? group[0];
    if (stands !== element || chosen.has(element.name)) return false;
    chosen.add(element.name);
    return true;
  });
  const around = (element: Element) =>
    [element, element.parentElement, element.nextElementSibling].filter((one) => one !== null);
  const look = (element: Element) =>
    around(element)
      .map((one) => {
        const { outlineStyle, outlineWidth, boxShadow, borderColor, backgroundColor } = getComputedStyle(one);
        const ring = outlineStyle === "none" ? "" : `${outlineStyle} ${outlineWidth}`;
        return [ring, boxShadow, borderColor, backgroundColor].join(" ");
      })
      .join(" | ");
  // What has the focus already, in a dialog that was just opened, looks so: of it the ring alone tells.
  const ringed = (element: Element) => getComputedStyle(element).outlineStyle !== "none";
  const begun = document.activeElement;
  const before = elements.map(look);
  const visits: { index: number; seen: boolean }[] = [];
  const outside: string[] = [];
  (window as unknown as { walk: unknown }).walk = { elements, visits, outside };
  document.addEventListener("focusin", ({ target }) => {
    if (!(target instanceof HTMLElement)) return;
    const index = elements.indexOf(target);
    if (!root.contains(target))
      outside.push(`the focus went to what is behind: ${target.tagName.toLowerCase()}`);
    visits.push({
      index,
      seen: index < 0 || (target === begun ? ringed(target) : look(target) !== before[index]),
    });
  });
  return elements.length;
}

function heard(): string[] {
  const { elements, visits, outside } = (
    window as unknown as {
      walk: {
        elements: HTMLElement[];
        visits: { index: number; seen: boolean }[];
        outside: readonly string[];
      };
    }
  ).walk;
  const name = (index: number) => {
    const element = elements[index];
    if (element === undefined) return "?";
    const text = element.getAttribute("aria-label") ?? element.textContent?.trim().slice(0, 40) ?? "";
    return `${element.tagName.toLowerCase()} "${text || element.id}"`;
  };
  const faults = [...outside];
  const reached = new Set(visits.map(({ index }) => index));
  elements.forEach((element, index) => {
    if (!reached.has(index)) faults.push(`never reached: ${name(index)}`);
    if (element.tabIndex > 0) faults.push(`has a place of its own in the order: ${name(index)}`);
  });
  for (const { index, seen } of visits) if (!seen) faults.push(`the focus is not to be seen: ${name(index)}`);
  const order = visits.map(({ index }) => index).filter((index) => index >= 0);
  order.forEach((index, at) => {
    const previous = order[at - 1] ?? -1;
    // At the end the focus leaves the page, and begins again.
    if (index < previous && index !== order[0] && index !== 0) {
      faults.push(`out of order: ${name(index)} after ${name(previous)}`);
    }
  });
  return [...new Set(faults)];
}

/** Goes through everything that the page shows now with the Tab key alone, or through a part of it that holds the focus. */
export async function walk(page: Page, within = "body"): Promise<Walk> {
  if (within === "body") {
    // From the very beginning, wherever the focus was.
    await page.evaluate(() => {
      if (document.activeElement instanceof HTMLElement) document.activeElement.blur();
      window.scrollTo(0, 0);
      getSelection()?.removeAllRanges();
    });
  }
  const elements = await page.evaluate(listen, within);
  const press = async (times: number) => {
    for (let pressed = 0; pressed < times; pressed++) await page.keyboard.press("Tab");
    return page.evaluate(heard);
  };
  let faults = await press(elements + 4);
  // A field for a date stops at day, month and year, and a box that scrolls is a stop too: these come on top.
  for (let more = 0; more < 6 && faults.length > 0; more++) faults = await press(10);
  return { faults, elements };
}

/** Presses Tab until something has the focus: the way of somebody without a mouse. Shift+Tab leads back. */
export async function tabTo(page: Page, target: Locator, key: "Tab" | "Shift+Tab" = "Tab"): Promise<void> {
  await expect(target).toBeVisible();
  for (let press = 0; press < 200; press++) {
    if (await target.evaluate((element) => element === document.activeElement)) return;
    await page.keyboard.press(key);
  }
  throw new Error(`${target} was not reached in 200 presses of ${key}`);
}

/** Opens a dialog from its button, goes round in it, leaves it by Escape: the focus stays inside, and comes back. */
export async function goThroughDialog(page: Page, button: Locator): Promise<readonly string[]> {
  await tabTo(page, button);
  const name = (await button.textContent()) ?? "";
  await page.keyboard.press("Enter");
  const dialog = page.getByRole("dialog");
  await expect(dialog).toBeVisible();
  await expect(dialog.locator(":focus")).toHaveCount(1);
  const { faults, elements } = await walk(page, "[role=dialog]");
  await page.keyboard.press("Escape");
  await expect(dialog).toBeHidden();
  await expect(button).toBeFocused();
  return [
    ...faults
      .filter((fault) => !fault.startsWith("out of order"))
      .map((fault) => `dialog of ${name}: ${fault}`),
    ...(elements >= 2 ? [] : [`dialog of ${name}: there is nothing to reach in it`]),
  ];
}
