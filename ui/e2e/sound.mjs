// A plain harmonic player for the fake microphone: the notes of a line with known detuning, slurred or tongued as written.
import { writeFile } from 'node:fs/promises';
import { midiOf } from './stand-in/horns.mjs';

export const rate = 44100;
/** The browser loses the first tenth of a second of the file: a little silence leads in. */
export const lead_s = 0.8;
const tail_s = 1.2;
const harmonics = [1, 0.8, 0.6, 0.42, 0.3, 0.2, 0.13, 0.08];
const glide_s = 0.03;
const attack_s = 0.025;
const release_s = 0.05;

/** Notes of a part's line as { hz, seconds, slurred, cents }; detuning goes round the list given. */
export function notesOf(line, detune, a4 = 440) {
  const all = line.events.filter((event) => event.kind === 'note');
  return all.map((note, n) => {
    const cents = detune[n % detune.length];
    return { id: note.id, cents, slurred: note.slurred, seconds: ((note.duration / 960) * 60) / line.tempo, hz: a4 * 2 ** ((midiOf(note.sounding) - 69) / 12 + cents / 1200) };
  });
}

/** Renders notes to samples between -1 and 1, with silence before and after. */
export function render(notes) {
  const total = lead_s + notes.reduce((sum, note) => sum + note.seconds, 0) + tail_s;
  const samples = new Float32Array(Math.ceil(total * rate));
  let phase = 0;
  let start = lead_s;
  for (const [n, note] of notes.entries()) {
    const before = notes[n - 1];
    const into = note.slurred && before;
    const tied = notes[n + 1]?.slurred ?? false;
    const from = Math.round(start * rate);
    const count = Math.round(note.seconds * rate);
    for (let k = 0; k < count; k++) {
      const t = k / rate;
      const left = note.seconds - t;
      const hz = into && t < glide_s ? before.hz * (note.hz / before.hz) ** (t / glide_s) : note.hz;
      phase += hz / rate;
      const rise = into ? 1 : Math.min(1, t / attack_s);
      const fall = tied ? 1 : Math.min(1, Math.max(0, left - 0.04) / release_s);
      let sum = 0;
      for (const [h, size] of harmonics.entries()) sum += size * Math.sin(2 * Math.PI * phase * (h + 1));
      samples[from + k] = 0.09 * rise * fall * sum;
    }
    start += note.seconds;
  }
  // A room is never silent: noise at about -80 dB, the same every time.
  let seed = 1;
  for (let n = 0; n < samples.length; n++) {
    seed = (seed * 48271) % 2147483647;
    samples[n] += ((seed / 2147483647) * 2 - 1) * 1.5e-4;
  }
  return samples;
}

/** Writes 16-bit mono WAV. */
export async function wav(path, samples) {
  const file = Buffer.alloc(44 + samples.length * 2);
  file.write('RIFF', 0);
  file.writeUInt32LE(36 + samples.length * 2, 4);
  file.write('WAVEfmt ', 8);
  file.writeUInt32LE(16, 16);
  file.writeUInt16LE(1, 20);
  file.writeUInt16LE(1, 22);
  file.writeUInt32LE(rate, 24);
  file.writeUInt32LE(rate * 2, 28);
  file.writeUInt16LE(2, 32);
  file.writeUInt16LE(16, 34);
  file.write('data', 36);
  file.writeUInt32LE(samples.length * 2, 40);
  samples.forEach((one, n) => file.writeInt16LE(Math.round(Math.max(-1, Math.min(1, one)) * 32767), 44 + n * 2));
  await writeFile(path, file);
  return samples.length / rate;
}
