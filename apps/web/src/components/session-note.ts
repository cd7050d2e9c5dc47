/**
 * A note that outlives a reload of the page in this tab, and nothing else: what somebody was entering, or which files
 * were under way. Where the browser allows no such store, notes are forgotten and nothing fails.
 */
export function readNote(key: string): unknown {
  try {
    const text = window.sessionStorage.getItem(key);
    return text === null ? null : JSON.parse(text);
  } catch {
    return null;
  }
}

export function writeNote(key: string, value: unknown): void {
  try {
    if (value === null) window.sessionStorage.removeItem(key);
    else window.sessionStorage.setItem(key, JSON.stringify(value));
  } catch {
    // The store is full or closed: the page goes on without it.
  }
}
