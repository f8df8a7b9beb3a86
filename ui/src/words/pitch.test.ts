import { afterEach, describe, expect, it } from 'vitest';
import { hertzOf, midiOf, nameOfMidi, pitchName, pitchSpoken } from './pitch';
import { speak } from './words.svelte';

afterEach(() => speak('en'));

describe('pitch names', () => {
  it('are scientific: C4 is middle C, key 60 (MIDI 1.0)', () => {
    expect([midiOf('C4'), midiOf('Bb2'), midiOf('F#3'), midiOf('C-1'), midiOf('H4')]).toEqual([60, 46, 54, 0, null]);
    expect(nameOfMidi(58)).toBe('Bb3');
    expect(hertzOf(69, 442)).toBe(442);
  });
  it('read as each language reads them', () => {
    expect([pitchName('Bb4'), pitchSpoken('F#3')]).toEqual(['B♭4', 'F sharp 3']);
    speak('de');
    expect(['Bb4', 'B4', 'Eb4', 'Ab3', 'Gb3', 'F#3', 'Ebb4'].map(pitchName)).toEqual(['B4', 'H4', 'Es4', 'As3', 'Ges3', 'Fis3', 'Eses4']);
  });
});
