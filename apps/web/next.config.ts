import { fileURLToPath } from "node:url";
import type { NextConfig } from "next";

const repositoryRoot = fileURLToPath(new URL("../..", import.meta.url));

// Headers that do not change from request to request. The Content-Security-Policy of pages carries a nonce and is made
// in src/proxy.ts; these also reach the paths which the proxy leaves alone.
const everyResponse = [
  { key: "X-Content-Type-Options", value: "nosniff" },
  // Addresses name studies, volunteers and invitations: they stay on this site.
  { key: "Referrer-Policy", value: "same-origin" },
  { key: "Cross-Origin-Opener-Policy", value: "same-origin" },
  { key: "Cross-Origin-Resource-Policy", value: "same-origin" },
  { key: "X-Frame-Options", value: "DENY" },
  {
    key: "Permissions-Policy",
    value: "camera=(), microphone=(), geolocation=(), payment=(), usb=(), serial=(), midi=()",
  },
];

// Answers under /api are data, never pages: nothing in them may run, even when somebody opens one in a tab.
const api = [
  {
    key: "Content-Security-Policy",
    value: "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'; sandbox",
  },
  { key: "Cache-Control", value: "no-store" },
];

// The address of these pages is all that opens them: it is sent to nobody, not even to this site, and found by no search.
const forYou = [
  { key: "Referrer-Policy", value: "no-referrer" },
  { key: "X-Robots-Tag", value: "noindex, nofollow, noarchive" },
];

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
    // Reads its data from files beside itself.
    "pdfkit",
  ],
  headers: async () => [
    { source: "/:path*", headers: everyResponse },
    { source: "/api/:path*", headers: api },
    { source: "/for-you/:path*", headers: forYou },
  ],
};

export default nextConfig;
