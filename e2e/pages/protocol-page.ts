import { expect, type Locator, type Page } from "@playwright/test";

export interface PhasePlan {
  readonly name: string;
  readonly kind: "rest" | "exercise" | "recovery";
  readonly minutes: number;
}

export interface ImagingPlan {
  readonly camera?: string;
  readonly warmUpMin?: number;
  readonly distanceM?: number;
  readonly notApplicable?: { readonly item: string; readonly reason: string };
}

/** The Protocol screen: its versions, and the draft while it is written. */
export class ProtocolPage {
  constructor(
    private readonly page: Page,
    private readonly studyId: string,
  ) {}

  async open(): Promise<void> {
    await this.page.goto(`/studies/${this.studyId}/protocol`);
    await expect(this.page.getByRole("heading", { name: "Protocol", level: 1 })).toBeVisible();
  }

  /** Begins the first version, or the next one. */
  async startDraft(): Promise<void> {
    await this.page.getByRole("button", { name: /Write the protocol|Start a new version/ }).click();
    await expect(this.page.getByRole("heading", { name: /Protocol version \d+/ })).toBeVisible();
  }

  async addPhase(phase: PhasePlan): Promise<void> {
    await this.page.getByRole("button", { name: "Add a phase" }).click();
    const row = this.page.getByRole("group", { name: /^Phase \d+$/ }).last();
    await row.getByLabel(/^Phase \d+$/).fill(phase.name);
    await row.getByLabel("Kind").selectOption(phase.kind);
    await row.getByLabel("Duration").fill(String(phase.minutes));
  }

  async addCondition(name: string, description = ""): Promise<void> {
    await this.page.getByRole("button", { name: "Add a condition" }).click();
    const row = this.page.getByRole("group", { name: /^Condition \d+$/ }).last();
    await row.getByLabel(/^Condition \d+$/).fill(name);
    await row.getByLabel("Description").fill(description);
  }

  async setOccasions(occasions: number): Promise<void> {
    await this.page.getByLabel("Occasions per condition").fill(String(occasions));
  }

  /** By its label in the region catalogue: "Left forearm, anterior". Recorded as a mean. */
  async chooseRegion(label: string): Promise<void> {
    const choice = this.page.getByRole("checkbox", { name: label, exact: true });
    if (!(await choice.isVisible())) await this.page.getByText("Choose from the region catalogue").click();
    await choice.check();
  }

  async setStatistic(label: string, statistic: string, wanted: boolean): Promise<void> {
    await this.page.getByRole("checkbox", { name: `${label}: ${statistic}`, exact: true }).setChecked(wanted);
  }

  async setRoomLimits(limits: { readonly airTemperatureC: readonly [number, number] }): Promise<void> {
    await this.page.getByLabel("Lowest air temperature").fill(String(limits.airTemperatureC[0]));
    await this.page.getByLabel("Highest air temperature").fill(String(limits.airTemperatureC[1]));
  }

  async setStopCriteria(criteria: readonly string[]): Promise<void> {
    await this.page.getByLabel("Further stop criteria").fill(criteria.join("\n"));
  }

  async setPlannedOutcomes(outcomes: readonly string[]): Promise<void> {
    await this.page.getByLabel("Planned outcomes").fill(outcomes.join("\n"));
  }

  async setExerciseLoad(text: string): Promise<void> {
    await this.page.getByLabel("Exercise load").fill(text);
  }

  async setImaging(imaging: ImagingPlan): Promise<void> {
    const { page } = this;
    const enter = async (label: string, value: string | number | undefined) => {
      if (value !== undefined) await page.getByLabel(label, { exact: true }).fill(String(value));
    };
    await enter("Camera", imaging.camera);
    await enter("Camera warm-up", imaging.warmUpMin);
    await enter("Distance", imaging.distanceM);
    if (imaging.notApplicable === undefined) return;
    const { item, reason } = imaging.notApplicable;
    await page.getByLabel("Add an item that does not apply").selectOption({ label: item });
    await page.getByLabel(`Why does “${item}” not apply?`).fill(reason);
  }

  async save(): Promise<void> {
    await this.page.getByRole("button", { name: "Save draft" }).click();
    await expect(this.page.getByText("Everything is saved.")).toBeVisible();
  }

  /** What still has to be filled in, as of the last save. */
  missing(): Locator {
    return this.page.getByRole("region", { name: "Before it can be put in force" }).getByRole("listitem");
  }

  /** Opens the question, answers it, and leaves the dialog open when the server refuses. */
  async askToPutInForce(): Promise<Locator> {
    await this.page.getByRole("button", { name: "Put in force" }).click();
    const dialog = this.page.getByRole("dialog");
    await dialog.getByRole("button", { name: "Put in force" }).click();
    return dialog;
  }

  async putInForce(): Promise<void> {
    await this.askToPutInForce();
    await expect(this.page.getByText(/^Version \d+, in force since/)).toBeVisible();
  }

  conflict(): Locator {
    return this.page.getByRole("alert", { name: "Two versions" });
  }
}
