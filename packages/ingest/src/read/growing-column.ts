const bytesPerValue = Float64Array.BYTES_PER_ELEMENT;
const firstBytes = 1 << 14;
const mostBytesAtOnce = 1 << 20;

/**
 * Float64 values appended in pieces. The buffer grows in place within address space that is only set aside, and gives its
 * memory back at once when it is taken, so that nothing waits for the garbage collector and nothing is held twice.
 */
export class GrowingColumn {
  private readonly buffer: ArrayBuffer;
  private readonly values: Float64Array;
  private length = 0;

  constructor(maxLength: number) {
    this.buffer = new ArrayBuffer(0, { maxByteLength: maxLength * bytesPerValue });
    this.values = new Float64Array(this.buffer);
  }

  append(more: Float64Array): void {
    const length = this.length + more.length;
    if (length > this.values.length) this.grow(length * bytesPerValue);
    this.values.set(more, this.length);
    this.length = length;
  }

  /** All values in one ordinary array; the column is empty afterwards. */
  take(): Float64Array {
    const all = new Float64Array(this.length);
    all.set(this.values.subarray(0, this.length));
    this.length = 0;
    this.buffer.resize(0);
    return all;
  }

  private grow(wanted: number): void {
    const { byteLength, maxByteLength } = this.buffer;
    const step = Math.min(mostBytesAtOnce, Math.max(firstBytes, byteLength));
    this.buffer.resize(Math.min(maxByteLength, Math.max(wanted, byteLength + step)));
  }
}
