/** A size as people say it, in decimal units: 812 bytes, 39.8 MB. */
export function formatBytes(bytes: number): string {
  if (bytes < 1000) return `${bytes} ${bytes === 1 ? "byte" : "bytes"}`;
  const units = ["kB", "MB", "GB", "TB"];
  let size = bytes;
  let unit = "bytes";
  for (const next of units) {
    if (size < 999.95) break;
    size /= 1000;
    unit = next;
  }
  return `${size < 10 ? size.toFixed(1) : size.toFixed(size < 100 ? 1 : 0)} ${unit}`;
}
