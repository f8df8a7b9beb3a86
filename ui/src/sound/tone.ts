// A reference tone and a drone, made in the browser so that they start and stop at once and never loop audibly.
import { reach } from './context';

/** Levels of the first harmonics, falling as a soft brass note's do (about 3 dB each, then faster). */
const harmonics = [1, 0.72, 0.55, 0.38, 0.27, 0.18, 0.12, 0.07];
const rise_s = 0.06;
const fall_s = 0.12;

export class Tone {
  #oscillator: OscillatorNode | null = null;
  #gain: GainNode | null = null;
  #end: ReturnType<typeof setTimeout> | undefined;

  /** Sounds a frequency until hushed, or for some seconds. */
  async sound(hz: number, loudness: number, seconds: number | null = null): Promise<void> {
    const context = await reach();
    clearTimeout(this.#end);
    if (this.#oscillator && this.#gain) {
      this.#oscillator.frequency.setTargetAtTime(hz, context.currentTime, 0.015);
      this.#gain.gain.setTargetAtTime(loudness, context.currentTime, 0.03);
    } else {
      const oscillator = context.createOscillator();
      const imaginary = new Float32Array([0, ...harmonics]);
      oscillator.setPeriodicWave(context.createPeriodicWave(new Float32Array(imaginary.length), imaginary));
      oscillator.frequency.value = hz;
      const gain = context.createGain();
      gain.gain.value = 0;
      gain.gain.setTargetAtTime(loudness, context.currentTime, rise_s);
      oscillator.connect(gain).connect(context.destination);
      oscillator.start();
      this.#oscillator = oscillator;
      this.#gain = gain;
    }
    if (seconds !== null) this.#end = setTimeout(() => this.hush(), seconds * 1000);
  }

  loudness(value: number): void {
    this.#gain?.gain.setTargetAtTime(value, this.#gain.context.currentTime, 0.03);
  }

  hush(): void {
    clearTimeout(this.#end);
    const [oscillator, gain] = [this.#oscillator, this.#gain];
    this.#oscillator = null;
    this.#gain = null;
    if (!oscillator || !gain) return;
    gain.gain.setTargetAtTime(0, gain.context.currentTime, fall_s / 3);
    oscillator.stop(gain.context.currentTime + fall_s * 2);
  }
}

/** One click of the count-in at a time of the audio clock; the first beat is higher. */
export function click(context: AudioContext, at: number, first: boolean): void {
  const oscillator = context.createOscillator();
  const gain = context.createGain();
  oscillator.frequency.value = first ? 1760 : 1320;
  gain.gain.setValueAtTime(0.25, at);
  gain.gain.exponentialRampToValueAtTime(0.0005, at + 0.05);
  oscillator.connect(gain).connect(context.destination);
  oscillator.start(at);
  oscillator.stop(at + 0.06);
}
