// A block of samples as the server takes it: a 24-byte little-endian header, then 32-bit floats.

export const headerBytes = 24;
const version = 1;
const format_f32 = 0;

export interface SentBlock {
  seq: number;
  first: number;
  samples: Float32Array<ArrayBuffer>;
}

/** `sent_ms` is the page's clock at the moment of sending; it comes back with the state heard from this block. */
export function encode(block: SentBlock, sent_ms: number): ArrayBuffer {
  const frame = new ArrayBuffer(headerBytes + block.samples.length * 4);
  const view = new DataView(frame);
  view.setUint8(0, version);
  view.setUint8(1, format_f32);
  view.setUint32(4, block.seq, true);
  view.setBigUint64(8, BigInt(block.first), true);
  view.setFloat64(16, sent_ms, true);
  for (let n = 0; n < block.samples.length; n++) view.setFloat32(headerBytes + n * 4, block.samples[n] ?? 0, true);
  return frame;
}
