/** Checks the environment and opens the database when the server starts, so that a mistake shows at once. */
export async function register(): Promise<void> {
  if (process.env.NEXT_RUNTIME === "nodejs") await import("./server/start");
}
