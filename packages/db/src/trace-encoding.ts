import { deflateSync, inflateSync } from "node:zlib";

/**
 * Series are stored byte-shuffled and deflated: all first bytes of the numbers, then all second bytes, and so on.
 * Neighbouring samples of a slow series share their high bytes, so that deflate finds long runs. Little-endian,
 * whatever the machine; NaN keeps its place.
 */

function shuffle(bytes: Uint8Array, width: number): Uint8Array {
  const count = bytes.length / width;
  const out = new Uint8Array(bytes.length);
  for (let plane = 0; plane < width; plane++) {
    for (let i = 0; i < count; i++) out[plane * count + i] = bytes[i * width + plane] ?? 0;
  }
  return out;
}

function unshuffle(bytes: Uint8Array, width: number): Uint8Array {
  const count = bytes.length / width;
  const out = new Uint8Array(bytes.length);
  for (let plane = 0; plane < width; plane++) {
    for (let i = 0; i < count; i++) out[i * width + plane] = bytes[plane * count + i] ?? 0;
  }
  return out;
}

function inflated(bytes: Uint8Array, width: number): Uint8Array {
  const raw = inflateSync(bytes);
  if (raw.length % width !== 0) {
    throw new RangeError(
      `decoding a series of ${width}-byte numbers requires a multiple of ${width} bytes, got ${raw.length}`,
    );
  }
  return unshuffle(raw, width);
}

/** Values (any unit) as float32 bytes. Rounds each value to the nearest float32. */
export function encodeFloat32(values: ArrayLike<number>): Uint8Array<ArrayBuffer> {
  const view = new DataView(new ArrayBuffer(values.length * 4));
  for (let i = 0; i < values.length; i++) view.setFloat32(i * 4, values[i] ?? Number.NaN, true);
  return new Uint8Array(deflateSync(shuffle(new Uint8Array(view.buffer), 4)));
}

export function decodeFloat32(bytes: Uint8Array): Float32Array {
  const raw = inflated(bytes, 4);
  const view = new DataView(raw.buffer, raw.byteOffset, raw.length);
  const out = new Float32Array(raw.length / 4);
  for (let i = 0; i < out.length; i++) out[i] = view.getFloat32(i * 4, true);
  return out;
}

/** Values (any unit) as float64 bytes, exactly. */
export function encodeFloat64(values: ArrayLike<number>): Uint8Array<ArrayBuffer> {
  const view = new DataView(new ArrayBuffer(values.length * 8));
  for (let i = 0; i < values.length; i++) view.setFloat64(i * 8, values[i] ?? Number.NaN, true);
  return new Uint8Array(deflateSync(shuffle(new Uint8Array(view.buffer), 8)));
}

export function decodeFloat64(bytes: Uint8Array): Float64Array {
  const raw = inflated(bytes, 8);
  const view = new DataView(raw.buffer, raw.byteOffset, raw.length);
  const out = new Float64Array(raw.length / 8);
  for (let i = 0; i < out.length; i++) out[i] = view.getFloat64(i * 8, true);
  return out;
}
