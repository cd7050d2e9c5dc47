import { formatMoment } from "@/components/format-moment";
import { MarkdownText } from "@/components/markdown-text";
import { SectionHeading } from "@/components/section-heading";
import { type InvitationTexts, questions } from "./invitation-words";

interface InvitationTextProps {
  readonly texts: InvitationTexts;
  readonly changedAt: string | null;
}

/** The invitation as those read it who are invited; what has no answer is left out. */
export function InvitationText({ texts, changedAt }: InvitationTextProps) {
  return (
    <>
      {questions
        .filter(({ key }) => texts[key].trim() !== "")
        .map(({ key, heading }) => (
          <section key={key} aria-labelledby={`answer-${key}`}>
            <SectionHeading id={`answer-${key}`}>{heading}</SectionHeading>
            <MarkdownText text={texts[key]} />
          </section>
        ))}
      {changedAt !== null && <p>This text was last changed on {formatMoment(changedAt)}.</p>}
    </>
  );
}
