import type { Answer } from "../src/screening/schema";
import type { ScreeningContent } from "../src/screening-set/schema";
import type { ReadyStudy } from "./ready-study";

/** The proposal, put in force as it is. */
export async function putScreeningInForce({ call, studyId }: ReadyStudy) {
  const draft = await call.screening.startSet({ studyId });
  await call.screening.putSetInForce({ studyId, setId: draft.setId, revision: draft.revision });
  const [set] = await call.screening.sets({ studyId });
  if (set === undefined) throw new Error("nothing was put in force");
  return set;
}

/** Answers of somebody whom no rule excludes, and who says no to everything but the questions named. */
export function answersTo(content: ScreeningContent, yes: readonly string[] = []): Record<string, Answer> {
  return Object.fromEntries([
    ...content.rules.map(({ key, kind }) => [key, kind === "inclusion" ? "yes" : "no"] as const),
    ...content.questions.map(({ key }) => [key, yes.includes(key) ? "yes" : "no"] as const),
  ]);
}
