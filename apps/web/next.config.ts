import { fileURLToPath } from "node:url";
import type { NextConfig } from "next";
import { apiHeaders, everyResponseHeaders } from "./src/security/response-headers";

const repositoryRoot = fileURLToPath(new URL("../..", import.meta.url));

const nextConfig: NextConfig = {
  poweredByHeader: false,
  reactStrictMode: true,
  // Both roots are needed: with only one, the traced output and the resolver disagree about where the workspace begins.
  turbopack: { root: repositoryRoot },
  outputFileTracingRoot: repositoryRoot,
  // The database engines load WebAssembly, native sockets or generated files beside themselves, which a bundle would lose.
  serverExternalPackages: [
    "@electric-sql/pglite",
    "pglite-prisma-adapter",
    "@prisma/client",
    "@prisma/adapter-pg",
    "@prisma/driver-adapter-utils",
    "@prisma/schema-engine-wasm",
    "pg",
  ],
  headers: async () => [
    { source: "/:path*", headers: everyResponseHeaders },
    { source: "/api/:path*", headers: apiHeaders },
  ],
};

export default nextConfig;
