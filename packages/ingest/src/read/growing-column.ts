const blockLength = 1 << 13;

/** Float64 values appended one by one, in blocks, so that growing never copies and needs no more than one block over. */
export class GrowingColumn {
  private blocks: Float64Array[] = [];
  private block = new Float64Array(blockLength);
  private used = 0;

  push(value: number): void {
    if (this.used === blockLength) {
      this.blocks.push(this.block);
      this.block = new Float64Array(blockLength);
      this.used = 0;
    }
    this.block[this.used++] = value;
  }

  get length(): number {
    return this.blocks.length * blockLength + this.used;
  }

  /** All values in one array; the column is empty afterwards, so that the memory is not held twice. */
  take(): Float64Array {
    const all = new Float64Array(this.length);
    for (let i = 0; i < this.blocks.length; i++) all.set(this.blocks[i] as Float64Array, i * blockLength);
    all.set(this.block.subarray(0, this.used), this.blocks.length * blockLength);
    this.blocks = [];
    this.block = new Float64Array(blockLength);
    this.used = 0;
    return all;
  }
}
