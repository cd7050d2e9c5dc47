import "server-only";
import { getCore } from "./core";

const opened = await getCore();

/** The embedded database is closed before the process ends: the next start is then as quick as the first. */
function close(): void {
  void opened.database.close().finally(() => process.exit(0));
}
process.once("SIGTERM", close);
process.once("SIGINT", close);
