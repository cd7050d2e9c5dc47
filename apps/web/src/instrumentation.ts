/**
 * Checks the environment and opens the database when the server starts, so that a mistake shows at once. The build also
 * loads this file, and must open nothing.
 */
export async function register(): Promise<void> {
  if (process.env.NEXT_RUNTIME === "nodejs" && process.env.NEXT_PHASE !== "phase-production-build") {
    await import("./server/start");
  }
}
