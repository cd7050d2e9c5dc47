const table = new Uint32Array(256).map((_, index) => {
  let c = index;
  for (let bit = 0; bit < 8; bit++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c;
});

/** The checksum of gzip (RFC 1952, section 8). */
export class Crc32 {
  private state = -1;

  update(bytes: Uint8Array): void {
    let c = this.state;
    for (let i = 0; i < bytes.length; i++) {
      c = (table[(c ^ (bytes[i] as number)) & 0xff] as number) ^ (c >>> 8);
    }
    this.state = c;
  }

  value(): number {
    return ~this.state >>> 0;
  }

  reset(): void {
    this.state = -1;
  }
}
