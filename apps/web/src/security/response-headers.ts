/**
 * Headers that do not change from request to request. The Content-Security-Policy of pages carries a nonce and is
 * therefore made in proxy.ts; these are set by next.config.ts, which also reaches the paths the proxy leaves alone.
 */
interface Header {
  readonly key: string;
  readonly value: string;
}

export const everyResponseHeaders: Header[] = [
  { key: "X-Content-Type-Options", value: "nosniff" },
  // Addresses name studies, volunteers and invitations: they stay on this site.
  { key: "Referrer-Policy", value: "same-origin" },
  { key: "Cross-Origin-Opener-Policy", value: "same-origin" },
  { key: "Cross-Origin-Resource-Policy", value: "same-origin" },
  { key: "X-Frame-Options", value: "DENY" },
  {
    key: "Permissions-Policy",
    value: "camera=(), microphone=(), geolocation=(), payment=(), usb=(), serial=(), bluetooth=(), midi=()",
  },
];

/** Answers under /api are data, never pages: nothing in them may run, even when somebody opens one in a tab. */
export const apiHeaders: Header[] = [
  {
    key: "Content-Security-Policy",
    value: "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'; sandbox",
  },
  { key: "Cache-Control", value: "no-store" },
];
