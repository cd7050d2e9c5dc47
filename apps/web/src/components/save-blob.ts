/** Hands bytes that exist in the browser to the person as a file. */
export function saveBlob(blob: Blob, fileName: string): void {
  const address = URL.createObjectURL(blob);
  const anchor = document.createElement("a");
  anchor.href = address;
  anchor.download = fileName;
  document.body.append(anchor);
  anchor.click();
  anchor.remove();
  // The browser has taken hold of the bytes by the next turn of its loop.
  setTimeout(() => URL.revokeObjectURL(address), 0);
}
