import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

// A time zone with an odd offset, so that code which forgets time zones fails here first.
process.env.TZ = "Asia/Kathmandu";

export default defineConfig({
  resolve: {
    alias: {
      "server-only": fileURLToPath(new URL("./scripts/empty-module.ts", import.meta.url)),
      "@": fileURLToPath(new URL("./apps/web/src", import.meta.url)),
    },
  },
  test: {
    include: ["packages/*/{src,test}/**/*.test.ts", "apps/web/**/*.test.{ts,tsx}", "scripts/**/*.test.ts"],
    exclude: ["**/node_modules/**", "**/.next/**"],
    pool: "forks",
    maxWorkers: 2,
    // Loading Prisma and the accounts' library anew for each of some 130 files took a third of the time.
    isolate: false,
    testTimeout: 30_000,
    hookTimeout: 60_000,
  },
});
