export interface PolicyOptions {
  /** Development builds of React evaluate strings to rebuild server stacks in the browser; production never does. */
  readonly development: boolean;
}

/**
 * The Content-Security-Policy of every page.
 *
 * - Scripts run only with this request's nonce; what such a script loads inherits the trust ('strict-dynamic').
 * - Style sheets come from this site or carry the nonce. Style *attributes* are allowed without one, because React
 *   writes them into the server's HTML for every `style` prop (component variables, chart geometry), and an attribute
 *   cannot carry a nonce. They can restyle their own element and can neither run code nor load from elsewhere:
 *   img-src and font-src still hold for every url() in them.
 * - `upgrade-insecure-requests` is absent on purpose: the product also runs on plain http inside a laboratory network.
 */
export function contentSecurityPolicy(nonce: string, options: PolicyOptions): string {
  const directives: Record<string, string> = {
    "default-src": "'self'",
    "script-src": `'self' 'nonce-${nonce}' 'strict-dynamic'${options.development ? " 'unsafe-eval'" : ""}`,
    "style-src": `'self' 'nonce-${nonce}'`,
    "style-src-attr": "'unsafe-inline'",
    "img-src": "'self' data: blob:",
    "font-src": "'self'",
    "connect-src": "'self'",
    "frame-ancestors": "'none'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "object-src": "'none'",
  };
  return Object.entries(directives)
    .map(([name, value]) => `${name} ${value}`)
    .join("; ");
}
