import { type NextRequest, NextResponse } from "next/server";
import { contentSecurityPolicy } from "./security/content-security-policy";

/** Gives every page its own nonce, and the Content-Security-Policy that goes with it. */
export function proxy(request: NextRequest): NextResponse {
  const nonce = btoa(crypto.randomUUID());
  const policy = contentSecurityPolicy(nonce, { development: process.env.NODE_ENV === "development" });

  // Next reads the nonce for its own scripts from the policy on the request; the layout reads it from x-nonce.
  const headers = new Headers(request.headers);
  headers.set("x-nonce", nonce);
  headers.set("Content-Security-Policy", policy);
  // Layouts do not know their address; whoever has to sign in first comes back by it.
  headers.set("x-path", request.nextUrl.pathname + request.nextUrl.search);

  const response = NextResponse.next({ request: { headers } });
  response.headers.set("Content-Security-Policy", policy);
  response.headers.set("Cache-Control", "no-store");
  return response;
}

/**
 * Everything under /api is left alone: a request that passes through a proxy is buffered and cut after 10 MB without
 * an error, and source files are larger than that.
 */
export const config = {
  matcher: ["/((?!api/|_next/static/|_next/image|icon\\.svg).*)"],
};
