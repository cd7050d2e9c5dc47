import type { ScreeningContent } from "./schema";

/** Common practice in own words; a study adapts them, and local rules prevail. A draft begins with these. */
export const firstContent: ScreeningContent = {
  schema: 1,
  limits: { ageFromYears: 18, ageToYears: null, massIndexFrom: null, massIndexTo: null, sexes: [] },
  rules: [
    {
      key: "understands",
      kind: "inclusion",
      text: "Understands what will happen, and can say at any time that it shall stop.",
    },
    { key: "unwell-today", kind: "exclusion", text: "Feels ill on the day of the trial." },
  ],
  questions: [
    {
      key: "heart",
      text: "Is anything wrong with your heart, your circulation or your blood pressure, or was it once?",
      needsClearance: true,
    },
    {
      key: "chest",
      text: "When you hurry or climb stairs: does your chest hurt or tighten, or do you have to stop for breath?",
      needsClearance: true,
    },
    {
      key: "fainting",
      text: "Have you fainted, or nearly fainted, within the last twelve months?",
      needsClearance: true,
    },
    {
      key: "heat",
      text: "Has heat ever made you so ill that you had to lie down, be cooled or be seen by a doctor?",
      needsClearance: true,
    },
    {
      key: "medicines",
      text: "Do you take anything that may change how you sweat, how your heart beats or how much water you keep, such as tablets for blood pressure, for mood or for allergies?",
      needsClearance: true,
    },
    { key: "pregnancy", text: "Are you pregnant, or might you be?", needsClearance: true },
    {
      key: "fever",
      text: "Have you had a fever or an infection within the last two weeks?",
      needsClearance: true,
    },
    {
      key: "kidneys",
      text: "Is something wrong with your kidneys, or do you have to limit how much you drink?",
      needsClearance: true,
    },
    {
      key: "sugar",
      text: "Do you have diabetes, or do you take something that lowers your blood sugar?",
      needsClearance: true,
    },
    {
      key: "breathing",
      text: "Do you have asthma, or another illness that makes breathing hard?",
      needsClearance: true,
    },
    {
      key: "advised",
      text: "Is there exercise that a doctor told you to leave alone, or to do only with care?",
      needsClearance: true,
    },
    {
      key: "skin",
      text: "Do you have a rash, a wound, a scar or a skin illness at a place that will be recorded or covered?",
      needsClearance: false,
    },
    {
      key: "drinking",
      text: "Have you drunk less than usual today, or alcohol since yesterday noon?",
      needsClearance: false,
    },
  ],
};

/** What keeps a set from being put in force. */
export function missingInSet({ rules, questions, limits }: ScreeningContent): string[] {
  const limited =
    limits.sexes.length > 0 ||
    [limits.ageFromYears, limits.ageToYears, limits.massIndexFrom, limits.massIndexTo].some(
      (limit) => limit !== null,
    );
  return rules.length === 0 && questions.length === 0 && !limited
    ? ["Write at least one rule or question: a set that asks nothing screens nobody."]
    : [];
}
