import type { z } from "zod";
import { AppError } from "../app-error";
import type { Core } from "../core";
import { againAfterDeadlock, eraseVolunteer, finishErasures, holdForErasure } from "../erasure/service";
import type { eraseOwnInput, tokenInput, withdrawOwnInput } from "../for-you/schema";
import { exportOwnData, type OwnData } from "../own-data/service";
import { openLink, writeByLink } from "../volunteer-link/service";
import { storeWithdrawal } from "../withdrawal/service";

/** The volunteer takes a permission back, or all, from this moment on. No reason is asked. */
export async function withdrawByLink(core: Core, input: z.output<typeof withdrawOwnInput>, sender: string) {
  const scope = await openLink(core, input.token, "own", sender);
  return writeByLink(scope, async (write) => {
    const { volunteer, now } = write;
    const { permission, effect } = input;
    const stored = await storeWithdrawal(write, {
      volunteer,
      permission,
      effect,
      effectiveAt: now,
      reason: "",
      recordedById: null,
    });
    return {
      result: stored.result,
      audit: [
        {
          action: "forYou.withdraw",
          subject: { kind: "volunteer", id: volunteer.id, label: volunteer.code },
          ...stored.values,
        },
      ],
    };
  });
}

/**
 * The volunteer has everything erased. The link goes with it: what is told of it is in this answer alone. What a person of the
 * team is asked for, the password again, the link stands for; the code is typed.
 */
export async function eraseByLink(core: Core, input: z.output<typeof eraseOwnInput>, sender: string) {
  const scope = await openLink(core, input.token, "own", sender);
  const { volunteer } = scope;
  if (volunteer.code !== input.code) {
    throw new AppError(
      "invalid",
      `Your code is ${volunteer.code}. Type exactly this code to have everything erased; nothing was erased.`,
      { field: "code" },
    );
  }
  const erased = await againAfterDeadlock(() =>
    writeByLink(
      scope,
      (write) => eraseVolunteer(write, volunteer.id, "Asked for by the volunteer's own link."),
      (write) => holdForErasure(write, volunteer.id),
    ),
  );
  const bytesGone = await finishErasures(core);
  const { code, releases } = erased;
  return { code, releases, erasedAt: scope.now.toISOString(), bytesGone };
}

/** Everything that is kept about the volunteer, for the volunteer. */
export async function exportByLink(
  core: Core,
  input: z.output<typeof tokenInput>,
  sender: string,
): Promise<OwnData> {
  const scope = await openLink(core, input.token, "own", sender);
  return writeByLink(scope, (write) => exportOwnData(write, write.volunteer.id));
}
