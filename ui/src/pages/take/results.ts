// What stands under each note of a take, and how its engraving is tinted.
import type { Result } from '../../parts/NoteSteps.svelte';
import { bandOf, centsSaid } from '../../words/figures';
import type { Words } from '../../words/words.svelte';
import { sounded, uncertaintyOf, valueOf, type Placed } from './hearing';

export function resultsOf(found: Map<string, Placed>, words: Words): Record<string, Result> {
  const all: Record<string, Result> = {};
  for (const [id, { note }] of found) {
    const cents = valueOf(note.measures.pitch_cents);
    const missed = !sounded(note);
    all[id] = { cents, band: bandOf(uncertaintyOf(note.measures.pitch_cents)), missed, said: missed ? words.take.missed : cents === null ? '–' : centsSaid(cents, words) };
  }
  return all;
}

export type Tint = 'flat' | 'sharp' | 'missed';
export function tintsOf(results: Record<string, Result>): Record<string, Tint> {
  const all: Record<string, Tint> = {};
  for (const [id, { cents, band, missed }] of Object.entries(results)) {
    if (missed) all[id] = 'missed';
    else if (cents !== null && Math.abs(cents) > band) all[id] = cents < 0 ? 'flat' : 'sharp';
  }
  return all;
}
