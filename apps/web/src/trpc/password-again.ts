import type { AppRouter } from "@acral/api";
import { TRPCClientError, type TRPCLink } from "@trpc/client";
import { observable } from "@trpc/server/observable";
import { failureOf } from "./failure";

/** Asks the person; true when the password was given and taken. */
type Ask = () => Promise<boolean>;

let ask: Ask | null = null;
let asking: Promise<boolean> | null = null;

/** Says who asks the person: the dialog, while it is on the page. Returns what takes it back. */
export function answerPasswordAgain(by: Ask): () => void {
  ask = by;
  return () => {
    if (ask === by) ask = null;
  };
}

/** One question at a time, however many actions wait for it. */
function givenAgain(): Promise<boolean> {
  asking ??= (ask?.() ?? Promise.resolve(false)).finally(() => {
    asking = null;
  });
  return asking;
}

/** Repeats once what the server refused because the password was given too long ago, after it was given again. */
export const passwordAgainLink: TRPCLink<AppRouter> =
  () =>
  ({ op, next }) =>
    observable((observer) => {
      let stop = () => {};
      let stopped = false;
      const run = (again: boolean) => {
        const subscription = next(op).subscribe({
          next: (value) => observer.next(value),
          complete: () => observer.complete(),
          error: (error) => {
            const wanted = error instanceof TRPCClientError && failureOf(error).code === "password-again";
            if (again || !wanted) {
              observer.error(error);
              return;
            }
            void givenAgain().then((given) => {
              if (stopped) return;
              if (given) run(true);
              else observer.error(error);
            });
          },
        });
        stop = () => subscription.unsubscribe();
      };
      run(false);
      return () => {
        stopped = true;
        stop();
      };
    });
