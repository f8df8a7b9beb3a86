// The landscape's ground: the tube's impedance as the sum of its resonances, on a logarithmic frequency axis.

export interface Hollow {
  frequency_hz: number;
  height: number;
  q: number;
}

/** |Z| at a frequency from frequency, height and Q of each resonance (sum of resonant modes; magnitudes added in the complex plane). */
export function impedanceAt(hz: number, hollows: readonly Hollow[]): number {
  let real = 0;
  let imaginary = 0;
  for (const { frequency_hz, height, q } of hollows) {
    const detune = q * (hz / frequency_hz - frequency_hz / hz);
    const size = height / (1 + detune * detune);
    real += size;
    imaginary -= size * detune;
  }
  return Math.hypot(real, imaginary);
}

export interface Frame {
  width: number;
  height: number;
  from_hz: number;
  to_hz: number;
}

export function xOf(hz: number, frame: Frame): number {
  return (frame.width * Math.log(hz / frame.from_hz)) / Math.log(frame.to_hz / frame.from_hz);
}

export function hzAt(x: number, frame: Frame): number {
  return frame.from_hz * (frame.to_hz / frame.from_hz) ** (x / frame.width);
}

/** Depth of the ground at a frequency, 0 (level) to 1 (the deepest hollow). The square root keeps weak hollows visible. */
export function depthAt(hz: number, hollows: readonly Hollow[]): number {
  const deepest = hollows.reduce((most, one) => Math.max(most, one.height), 0);
  return deepest === 0 ? 0 : Math.min(1, Math.sqrt(impedanceAt(hz, hollows) / deepest));
}

/** The ground line as an SVG path from left to right; `top` is level ground. Every hollow's own floor is one of the points. */
export function ground(hollows: readonly Hollow[], frame: Frame, top: number): string {
  const at = new Set<number>();
  const step = Math.max(2, frame.width / 360);
  for (let x = 0; x <= frame.width; x += step) at.add(x);
  for (const one of hollows) {
    const x = xOf(one.frequency_hz, frame);
    if (x >= 0 && x <= frame.width) at.add(x);
  }
  const deep = frame.height - top;
  return [...at]
    .sort((a, b) => a - b)
    .map((x, n) => `${n === 0 ? 'M' : 'L'}${x.toFixed(1)} ${(top + deep * depthAt(hzAt(x, frame), hollows)).toFixed(1)}`)
    .join('');
}
