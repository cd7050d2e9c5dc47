import { z } from "zod";
import { idSchema } from "../identifiers";

export const consentOfVolunteerInput = z.object({ studyId: z.string(), volunteerId: idSchema });
