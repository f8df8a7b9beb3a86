// An invented exercise, its part, its page and a take of it, in the server's shapes.
import { midiOf, noteName } from './horns.mjs';

const starts = ['C4', 'B3', 'Bb3', 'A3'];
const labels = ['0', '2', '1', '1-2', '2-3', '1-3', '1-2-3'];
const up = [0, 4, 7, 12, 16, 12, 7, 4, 0];

export const exercise = { id: 'under-one-roof', title: 'Under one roof', family: 'arpeggios', purpose: 'The same top note, however low the line begins.', own: false };
export const exercises = [
  exercise,
  { id: 'held-breath', title: 'Long and level', family: 'long-notes', purpose: 'A note that does not move.', own: false },
  { id: 'two-partials', title: 'Two partials', family: 'natural-slurs', purpose: 'Slur between neighbours without a bump.', own: false },
  { id: 'ladder', title: 'The ladder', family: 'scales', purpose: 'Even fingers over one octave.', own: true },
];

export const text = `version = 1
id = "under-one-roof"
title = "Under one roof"
family = "arpeggios"
purpose = "The same top note, however low the line begins."
words = "Think of the top note before you begin."
harmony = "major-triad"
figure = { degrees = [1, 3, 5] }
carry = "octaves"
turn = "back"
travel = { from = "C4", to = "A3", by = "semitone" }
roof = "E5"          # nobody goes above this
rhythm = "1/4"
tempo = [60, 84]
slur = "line"
dynamic = "mp"
`;

export const part = {
  title: 'Under one roof', purpose: exercise.purpose, cautions: ['Stop when the lip tires.'], words: '', player: 'Ada', instrument: 'trumpet-bflat', instrument_name: 'B-flat trumpet', clef: 'treble',
  transposition: { diatonic: -1, chromatic: -2 }, meter: [4, 4], warnings: [], sections: [], left_out: [{ what: 'the line from A flat', why: 'it lies below the floor' }], totals: { playing_s: 128, rest_s: 130, load: 74.2 },
  lines: starts.map((start, l) => ({
    id: `l${l + 1}`, label: `from ${start.replace(/\d/, '')}`, exercise: exercise.id, key: 0, root: noteName(midiOf(start) - 2), rest_after: 9600, tempo: 72, load: 18.5,
    events: up.map((step, n) => {
      const written = noteName(midiOf(start) + step);
      const label = labels[(l + (n % 3) * 0) % 7];
      return { kind: 'note', id: `l${l + 1}n${n + 1}`, written, sounding: noteName(midiOf(start) + step - 2), duration: 960, fingering: { length: l, label, partial: 2 + (n % 4), cents: -2, alternate: false, kind: 'partial', reason: 'The usual choice.' }, slurred: n > 0, articulation: 'plain', dynamic: n === 0 ? 'mp' : null };
    }),
  })),
};

export const engraving = `<svg xmlns="http://www.w3.org/2000/svg" width="2100px" height="1000px"><style>text{fill:red}</style>${part.lines
  .map((line, l) => {
    const top = 120 + l * 220;
    const staff = [0, 1, 2, 3, 4].map((s) => `<path d="M100 ${top + s * 18}H2000" stroke="currentColor" stroke-width="2"/>`).join('');
    const notes = line.events.map((event, n) => `<g id="${event.id}" class="note"><ellipse cx="${220 + n * 190}" cy="${top + 110 - up[n] * 6}" rx="13" ry="9"/><path d="M${232 + n * 190} ${top + 110 - up[n] * 6}v-64" stroke="currentColor" stroke-width="3"/></g>`).join('');
    return `<g class="system">${staff}${notes}</g>`;
  })
  .join('')}</svg>`;

const known = (value, uncertainty) => ({ value, uncertainty });
const wave = (n) => Math.sin(n * 1.7);
const noteMeasures = (n, extra = {}) => ({
  pitch_cents: known(12 * wave(n), 1.2), wander_cents: known(2.1 + wave(n), 0.4), vibrato_hz: { why: 'too-short' }, vibrato_cents: { why: 'too-short' }, scoop_cents: known(-14 + 3 * wave(n), 3), attack_ms: known(42 + 9 * wave(n), 5),
  chipped: null, release_ms: known(80, 12), sag_cents: known(-3, 1.5), level_db: known(-21 + wave(n), 0.3), level_dba: { why: 'uncalibrated' }, brightness: known(2.3 + 0.2 * wave(n), 0.05), partials_db: [], noise_db: known(31, 1), ...extra,
});

export const report = {
  shape: 1, verdict: { kind: 'as-asked', trusted: true, words: '' }, room: { words: ['The room is dry enough to judge slurs.'] }, faults: [], cautions: [],
  take: { seconds: 42, playing_s: 26, asked: 18, as_asked: 16, wrong: 1, missing: 1, extra: 0 }, other_notes: [],
  lines: part.lines.slice(0, 2).map((line, l) => ({
    id: line.id, label: line.label, pass: 0, from_s: 1 + l * 18, to_s: 9 + l * 18,
    notes: line.events.map((event, n) => ({ id: event.id, name: event.sounding, written: event.written, fingering: event.fingering.label, asked_hz: 440 * 2 ** ((midiOf(event.sounding) - 69) / 12), partial: 2, outcome: n === 6 && l === 1 ? 'missing' : 'as-asked', confidence: 0.98, heard_hz: n === 6 && l === 1 ? null : 440 * 2 ** ((midiOf(event.sounding) - 69 + 0.12 * wave(n)) / 12), from_s: 1 + l * 18 + n * 0.83, to_s: 1.8 + l * 18 + n * 0.83, slurred: n > 0, measures: noteMeasures(n) })),
    slurs: line.events.slice(1).map((event, n) => ({ from: `${line.id}n${n + 1}`, to: event.id, names: ['', ''], from_s: 1.8 + n * 0.83, to_s: 1.83 + n * 0.83, slur_ms: known(34 + 8 * wave(n), 4), dip_db: known(1.4, 0.3), overshoot_cents: known(11, 4), caught: n === 2 ? [{ partial: 5, hz: 580, held_ms: known(24, 5), from_s: 3, confidence: 0.9 }] : [] })),
  })),
  same_roof: [{ name: 'D5', midi: 74, level_spread_db: known(1.1, 0.2), pitch_spread_cents: known(4.2, 1), sound_spread_db: known(1.6, 0.3), times: part.lines.slice(0, 2).map((line, l) => ({ line: line.label, note: `${line.id}n5`, at_s: 4.3 + 18 * l, below: 16, level_db: known(-20.4 - l, 0.3), pitch_cents: known(6 - 9 * l, 1.1), attack_ms: known(40, 6), sound_db: known(0.9 + l, 0.3) })) }],
  findings: [
    { kind: 'caught', words: 'From C5 to E5 partial 5 was caught for 24 ± 5 ms.', line: 'l1', notes: ['l1n4'], value: 24, uncertainty: 5, unit: 'ms', weight: 3, evidence: [{ note: 'l1n4', from_s: 3.1, to_s: 3.6 }] },
    { kind: 'missing-note', words: 'G4 in the second line was not heard.', line: 'l2', notes: ['l2n7'], value: 1, uncertainty: 0, unit: 'notes', weight: 2, evidence: [{ note: 'l2n7', from_s: 24, to_s: 24.6 }] },
  ],
};

export const take = { id: 't1', player: 'p1', exercise: exercise.id, instrument: 'trumpet-bflat', title: 'Under one roof', started_ms: 1795590000000, seconds: 42, sample_rate: 48000, channels: 1, sha256: '0', bytes: 1, gaps: [], origin: null, recovered: false, heard: true, summary: null, created_ms: 0 };
export const takes = [take, { ...take, id: 't2', started_ms: 1795503600000, recovered: true }, { ...take, id: 't3', started_ms: 1795417200000, gaps: [{ at_s: 12, seconds: 0.08, why: 'source' }], heard: false }];

const step = 0.01;
const at_s = [...Array(4200).keys()].map((n) => n * step);
const within = (t) => report.lines.flatMap((line) => line.notes).find((note) => note.heard_hz && t >= note.from_s && t <= note.to_s);
const curves = { at_s, f0_hz: at_s.map((t) => (within(t) ? within(t).heard_hz * 2 ** ((4 * Math.sin(t * 35) + 8 * Math.exp(-(t - within(t).from_s) * 20)) / 1200) : null)), level_db: at_s.map((t) => (within(t) ? -20 - 3 * Math.sin(t * 3) : -68)) };
export const curvesBetween = (from, to) => {
  const keep = at_s.map((t, n) => [t, n]).filter(([t]) => t >= from && t <= to);
  return { at_s: keep.map(([t]) => t), f0_hz: keep.map(([, n]) => curves.f0_hz[n]), level_db: keep.map(([, n]) => curves.level_db[n]) };
};
export const spectrumAt = (t) => {
  const f0 = within(t)?.heard_hz ?? 300;
  const frequency_hz = [...Array(1200).keys()].map((n) => n * 6);
  return { frequency_hz, level_db: frequency_hz.map((hz) => Math.max(-95, ...[...Array(14).keys()].map((k) => -22 - 3.2 * k - ((hz - f0 * (k + 1)) / 9) ** 2))) };
};
export const compared = [
  { measure: 'pitch_cents', unit: 'cents', a: 4.1, a_sd: 0.6, b: 9.3, b_sd: 0.7, difference: -5.2, difference_sd: 0.9 },
  { measure: 'slur_ms', unit: 'ms', a: 34, a_sd: 4, b: 37, b_sd: 4, difference: -3, difference_sd: 5.6 },
];
