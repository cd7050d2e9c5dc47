import { MarkdownText } from "@/components/markdown-text";
import { SectionHeading } from "@/components/section-heading";
import classes from "./consent.module.css";

interface FormViewProps {
  readonly text: string;
  readonly permissions: readonly {
    readonly key: string;
    readonly label: string;
    readonly required: boolean;
  }[];
}

/** A consent form as volunteers read it. */
export function FormView({ text, permissions }: FormViewProps) {
  return (
    <>
      <section aria-labelledby="text">
        <SectionHeading id="text">Text</SectionHeading>
        <MarkdownText text={text} />
      </section>
      <section aria-labelledby="permissions">
        <SectionHeading
          id="permissions"
          explanation="Each is decided on its own; nothing is ticked beforehand."
        >
          Permissions
        </SectionHeading>
        <ol className={classes.rows}>
          {permissions.map((permission) => (
            <li key={permission.key} className={classes.row}>
              <span className={classes.grow}>{permission.label}</span>
              <span className={classes.note}>
                {permission.required ? "required to take part" : "free to refuse"}
              </span>
            </li>
          ))}
        </ol>
      </section>
    </>
  );
}
