import "server-only";
import { finishErasures, hashOlderIdentities, sweepBlobs } from "@acral/api";
import { getCore } from "./core";
import { logFailure } from "./log-failure";

const opened = await getCore();

/** Bytes that no row names, left by an upload that was refused at its last step, go at the start and every hour. */
function sweep(): void {
  sweepBlobs(opened).catch((error: unknown) => logFailure("sweepBlobs", error));
  // What a crash, or somebody who was still reading, left of an erasure.
  finishErasures(opened).catch((error: unknown) => logFailure("finishErasures", error));
}
sweep();
hashOlderIdentities(opened).catch((error: unknown) => logFailure("hashOlderIdentities", error));
setInterval(sweep, 60 * 60 * 1000).unref();

/** The embedded database is closed before the process ends: the next start is then as quick as the first. */
function close(): void {
  void opened.database.close().finally(() => process.exit(0));
}
process.once("SIGTERM", close);
process.once("SIGINT", close);
