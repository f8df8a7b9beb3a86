// Pitch names for the eye and for a screen reader, as each language names them.
import { language } from './words.svelte';

interface Spelled {
  letter: string;
  alter: number;
  octave: string;
}

/** Takes `Bb4`, `F#3`, `C-1`, `B♭4` apart; null for anything else. */
export function spelled(name: string): Spelled | null {
  const found = /^([A-Ga-g])([#b♯♭x]*)(-?\d+)?$/.exec(name.trim());
  if (!found) return null;
  let alter = 0;
  for (const sign of found[2] ?? '') alter += sign === 'b' || sign === '♭' ? -1 : sign === 'x' ? 2 : 1;
  return { letter: (found[1] ?? '').toUpperCase(), alter, octave: found[3] ?? '' };
}

const signs: Record<number, string> = { [-3]: '♭♭♭', [-2]: '♭♭', [-1]: '♭', 0: '', 1: '♯', 2: '𝄪', 3: '♯𝄪' };

function german({ letter, alter }: Spelled): string {
  const base = letter === 'B' ? 'H' : letter;
  if (alter === 0) return base;
  if (letter === 'B' && alter === -1) return 'B';
  const flat = letter === 'A' || letter === 'E' ? 's' : 'es';
  return alter > 0 ? base + 'is'.repeat(alter) : base + flat + 'es'.repeat(-alter - 1);
}

/** For the eye: `B♭4`; in German `B4`, `Fis3`, `H3`. */
export function pitchName(name: string): string {
  const one = spelled(name);
  if (!one) return name;
  return language() === 'de' ? german(one) + one.octave : one.letter + (signs[one.alter] ?? '') + one.octave;
}

const spoken: Record<number, string> = { [-2]: ' double flat', [-1]: ' flat', 0: '', 1: ' sharp', 2: ' double sharp' };

/** For the ear: `B flat 4`. */
export function pitchSpoken(name: string): string {
  const one = spelled(name);
  if (!one) return name;
  return language() === 'de' ? `${german(one)} ${one.octave}`.trim() : `${one.letter}${spoken[one.alter] ?? ''} ${one.octave}`.trim();
}

const steps: Record<string, number> = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

/** MIDI key of a name; null for anything that is not a full pitch name. */
export function midiOf(name: string): number | null {
  const one = spelled(name);
  if (!one || one.octave === '') return null;
  return (Number(one.octave) + 1) * 12 + (steps[one.letter] ?? 0) + one.alter;
}

/** Frequency in hertz of a MIDI key in equal temperament. */
export function hertzOf(midi: number, a4: number): number {
  return a4 * 2 ** ((midi - 69) / 12);
}

const flats = ['C', 'Db', 'D', 'Eb', 'E', 'F', 'Gb', 'G', 'Ab', 'A', 'Bb', 'B'];

/** A name for a MIDI key that nothing spells: flats, as brass parts mostly do. */
export function nameOfMidi(midi: number): string {
  return `${flats[((midi % 12) + 12) % 12] ?? 'C'}${Math.floor(midi / 12) - 1}`;
}
