import { z } from "zod";
import { idSchema } from "../identifiers";

/** What stands in the address of a link. Its form is not checked further: every text that is no token is answered alike. */
export const linkToken = z.string().max(200, "This address is longer than any link.");

export const linksInput = z.object({ studyId: z.string(), volunteerId: idSchema });
export const makeLinkInput = linksInput.extend({
  purpose: z.enum(["sign", "own", "invitation"], { error: "Say what the link is for." }),
  /** For a device of the team that is handed over now. */
  here: z.boolean().prefault(false),
});
export const revokeLinkInput = z.object({ studyId: z.string(), linkId: idSchema });
