import type { SimulatedConsentForm } from "../types";
import { notice } from "./notice";

export const consentForm: SimulatedConsentForm = {
  title: "Taking part in the bench stepping study (invented demo)",
  text: [
    notice,
    "What happens. You come four times, at the same time of day, for about an hour. You sit still for ten minutes, step on a low bench for twenty, and stand still for ten. Twice your hands are bare, twice you wear insulated gloves. A camera that sees warmth records your skin; you wear short trousers and a sleeveless top. A belt records your heart rate.",
    "What it may cost you. Stepping makes you warm and tired. You may feel dizzy. We stop as soon as you say so, or when we see a reason to. There is no direct benefit to you.",
    "What is kept. Temperatures of fourteen places of your skin over time, your heart rate, your height and mass, your sex and year of birth, under a code. Your name and contact are kept apart, encrypted, and only those who run the visits can see them.",
    "Taking it back. You may stop at any moment, and take back one permission or all of them later, without a reason and without any disadvantage. From then on your numbers appear in no figure and in no dataset handed out. Datasets already handed out cannot be called back.",
    "Whom to ask. The study office of the invented Merrow Sands Rowing Club, study-office@example.org.",
  ].join("\n\n"),
  permissions: [
    { key: "take part", text: "I take part in the four visits.", required: true },
    {
      key: "record thermal images of unclothed skin",
      text: "A camera may record the warmth of my uncovered arms, legs, face and upper body.",
      required: true,
    },
    { key: "keep images", text: "The thermal images may be kept for ten years.", required: false },
    {
      key: "show images in teaching",
      text: "Images without my face may be shown in teaching.",
      required: false,
    },
    {
      key: "show images in public",
      text: "Images without my face may be shown in public, for instance in a publication.",
      required: false,
    },
    {
      key: "share anonymised numbers",
      text: "Numbers from which I cannot be recognised may be given to other researchers.",
      required: false,
    },
    { key: "be contacted again", text: "I may be asked to take part in a later study.", required: false },
  ],
};
