import "server-only";
import { type Core, openCore, readEnvironment } from "@acral/api";

// The server's bundles share one process but not their module state; the embedded database bears only one owner.
const shared: typeof globalThis & { acralCore?: Promise<Core> } = globalThis;

/** The core of this process, opened at the first call. A failed opening is tried again at the next. */
export function getCore(): Promise<Core> {
  shared.acralCore ??= openCore(readEnvironment(process.env)).catch((error: unknown) => {
    delete shared.acralCore;
    throw error;
  });
  return shared.acralCore;
}
