import "server-only";

/**
 * Writes an unexpected failure to the server's error output: where it happened and of which kind. Messages stay out,
 * because those of a database may repeat the values that were being written, and logs never hold a name.
 */
export function logFailure(where: string, error: unknown): void {
  const lines: string[] = [];
  for (let cause: unknown = error; cause instanceof Error; cause = cause.cause) {
    const code = "code" in cause && typeof cause.code === "string" ? ` ${cause.code}` : "";
    const frames = (cause.stack ?? "").split("\n").filter((line) => /^\s+at /.test(line));
    lines.push(`${cause.name}${code}`, ...frames.slice(0, 12));
  }
  console.error(`failure in ${where}: ${lines.length === 0 ? typeof error : lines.join("\n")}`);
}
