const blockLength = 1 << 13;

/** Float64 values in blocks, so that growing never copies and needs no more than one block over. */
export class GrowingColumn {
  private blocks: Float64Array[] = [];
  /** How much of the last block is used. */
  private used = blockLength;

  append(values: Float64Array): void {
    let from = 0;
    while (from < values.length) {
      if (this.used === blockLength) {
        this.blocks.push(new Float64Array(blockLength));
        this.used = 0;
      }
      const taken = Math.min(blockLength - this.used, values.length - from);
      this.blocks.at(-1)?.set(values.subarray(from, from + taken), this.used);
      this.used += taken;
      from += taken;
    }
  }

  /** All values in one array; the column is empty afterwards, so that the memory is not held twice. */
  take(): Float64Array {
    const { blocks } = this;
    const all = new Float64Array(blocks.length * blockLength - (blockLength - this.used));
    for (const [i, block] of blocks.entries()) {
      const at = i * blockLength;
      all.set(at + blockLength > all.length ? block.subarray(0, all.length - at) : block, at);
    }
    this.blocks = [];
    this.used = blockLength;
    return all;
  }
}
