import { z } from "zod";
import { idSchema } from "../identifiers";

/** The permission without which nobody takes part; every consent form has it. */
export const takePart = "take-part";

export const permissionKey = z
  .string()
  .regex(
    /^[a-z][a-z0-9-]{0,59}$/,
    "A key is lower-case letters, digits and hyphens, and begins with a letter.",
  );

export const permission = z.object({
  key: permissionKey,
  label: z.string().trim().max(400, "A permission has at most 400 characters."),
  /** Without it nobody can take part. */
  required: z.boolean(),
});
export type Permission = z.output<typeof permission>;

export const permissions = z
  .array(permission)
  .max(30, "A consent form has at most 30 permissions.")
  .superRefine((list, context) => {
    list.forEach((item, index) => {
      if (list.findIndex((other) => other.key === item.key) < index) {
        context.addIssue({
          code: "custom",
          message: `The key ${item.key} is used twice.`,
          path: [index, "key"],
        });
      }
    });
    const participation = list.findIndex((item) => item.key === takePart);
    if (participation === -1) {
      context.addIssue({
        code: "custom",
        message: "The permission to take part cannot be removed.",
        path: [],
      });
    } else if (list[participation]?.required === false) {
      context.addIssue({
        code: "custom",
        message: "The permission to take part is always required.",
        path: [participation, "required"],
      });
    }
  });

export const formTitle = z.string().trim().max(200, "A title has at most 200 characters.");
export const formText = z
  .string()
  .max(60_000, "A consent form has at most 60,000 characters.")
  .transform((text) => text.replaceAll("\r\n", "\n"));

export const formInput = z.object({ studyId: z.string(), formId: idSchema });
const revision = z.number().int();
export const saveFormInput = formInput.extend({ revision, title: formTitle, text: formText, permissions });
export const formAtRevisionInput = formInput.extend({ revision });
