// The fields of the form, in the order a teacher thinks of them. Keys and values are the exercise file's own.
export type FieldKey =
  | 'title' | 'purpose' | 'words' | 'family' | 'harmony' | 'figure' | 'travel' | 'roof' | 'floor' | 'carry' | 'turn' | 'rhythm' | 'tempo' | 'slur' | 'articulation' | 'dynamic' | 'repeats' | 'rest';

interface Field {
  key: FieldKey;
  /** How the value is written: a quoted string, a number, or TOML as typed. */
  kind: 'string' | 'number' | 'toml';
  wide?: boolean;
  needed?: boolean;
  choices?: string[];
}

export const fields: Field[] = [
  { key: 'title', kind: 'string', wide: true, needed: true },
  { key: 'purpose', kind: 'string', wide: true, needed: true },
  { key: 'words', kind: 'string', wide: true },
  { key: 'family', kind: 'string', needed: true, choices: ['long-notes', 'natural-slurs', 'arpeggios', 'intervals', 'scales', 'articulation', 'range', 'cool-down'] },
  {
    key: 'harmony',
    kind: 'string',
    choices: ['major-triad', 'minor-triad', 'diminished-triad', 'augmented-triad', 'major-seventh', 'dominant-seventh', 'minor-seventh', 'half-diminished-seventh', 'diminished-seventh', 'major-scale', 'natural-minor-scale', 'harmonic-minor-scale', 'melodic-minor-scale', 'dorian', 'phrygian', 'lydian', 'mixolydian', 'locrian', 'major-pentatonic', 'minor-pentatonic', 'chromatic', 'whole-tone'],
  },
  { key: 'figure', kind: 'toml', wide: true, needed: true },
  { key: 'travel', kind: 'toml', wide: true, needed: true },
  { key: 'roof', kind: 'string' },
  { key: 'floor', kind: 'string' },
  { key: 'carry', kind: 'string', choices: ['octaves', 'steps', 'octaves-down', 'steps-down'] },
  { key: 'turn', kind: 'string', choices: ['stay', 'back'] },
  { key: 'rhythm', kind: 'string', needed: true },
  { key: 'tempo', kind: 'toml', needed: true },
  { key: 'slur', kind: 'string', choices: ['none', 'line', 'figure'] },
  { key: 'articulation', kind: 'string', choices: ['plain', 'staccato', 'tenuto', 'accent'] },
  { key: 'dynamic', kind: 'string', choices: ['pp', 'p', 'mp', 'mf', 'f', 'ff'] },
  { key: 'repeats', kind: 'number' },
  { key: 'rest', kind: 'string', choices: ['equal', 'load', 'none'] },
];
