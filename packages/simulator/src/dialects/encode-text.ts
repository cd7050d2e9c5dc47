/** Bytes of the text in Windows-1252. Throws on a character that it has no place for. */
export function windows1252(text: string): Uint8Array {
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i += 1) {
    const code = text.charCodeAt(i);
    // 0x80–0x9f of Windows-1252 hold other characters than Latin-1, and no dialect here needs them.
    if (code > 0xff || (code >= 0x80 && code < 0xa0)) {
      throw new RangeError(
        `windows1252: no byte is written here for U+${code.toString(16).padStart(4, "0")}`,
      );
    }
    bytes[i] = code;
  }
  return bytes;
}

/** Bytes of the text in UTF-16, low byte first, with a byte order mark. */
export function utf16LittleEndian(text: string): Uint8Array {
  const bytes = new Uint8Array(2 * text.length + 2);
  const view = new DataView(bytes.buffer);
  view.setUint16(0, 0xfeff, true);
  for (let i = 0; i < text.length; i += 1) view.setUint16(2 + 2 * i, text.charCodeAt(i), true);
  return bytes;
}

export function utf8(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}
