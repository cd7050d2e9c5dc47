import type { Outputs } from "@/trpc/outputs";

export type Invitation = Outputs["invitationText"]["get"];
export type InvitationTexts = Invitation["offered"];
export type InvitationQuestion = keyof InvitationTexts;

/** What people ask, in the order in which it is told; and for whoever writes, what an answer is about. */
export const questions: readonly {
  readonly key: InvitationQuestion;
  readonly heading: string;
  readonly prompt: string;
}[] = [
  {
    key: "about",
    heading: "What is it about?",
    prompt: "The question of the study, as you would tell a neighbour.",
  },
  {
    key: "seen",
    heading: "What will be seen of me?",
    prompt: "Which parts of the body, by which camera, and how recognisable one is.",
  },
  {
    key: "worn",
    heading: "What will I wear?",
    prompt: "Clothing, what stays uncovered, where one changes, what can be worn instead.",
  },
  {
    key: "measured",
    heading: "What will be measured?",
    prompt: "Everything that is put on, swallowed, weighed or asked.",
  },
  {
    key: "duration",
    heading: "How long does it take?",
    prompt: "How many visits, how long each, and what one does in them.",
  },
  {
    key: "room",
    heading: "Who is in the room?",
    prompt: "Who is there and why, how warm it is, and who may come along.",
  },
  {
    key: "kept",
    heading: "What is kept of me, and for how long?",
    prompt: "Name, recordings and answers, each with its time.",
  },
  {
    key: "shown",
    heading: "Who sees it?",
    prompt: "Inside the team, in print, in what is handed to others.",
  },
  {
    key: "risks",
    heading: "What can be unpleasant or go wrong?",
    prompt: "Heat, effort, being looked at; and what is done then.",
  },
  {
    key: "sayNo",
    heading: "How do I say no?",
    prompt: "Now, in the middle, and afterwards; that no reason is needed.",
  },
  { key: "contact", heading: "Whom can I ask?", prompt: "A person, and how to reach them before and after." },
];
