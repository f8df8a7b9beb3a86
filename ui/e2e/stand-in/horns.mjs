// Invented horns for the page's own tests: shapes as the server sends them, numbers of no consequence.
const labels = ['0', '2', '1', '1-2', '2-3', '1-3', '1-2-3'];
const valves = [0, 2, 1, 3, 6, 5, 7];

function lengths(fundamental, slide) {
  return labels.map((label, id) => {
    const ratio = 2 ** (id / 12);
    return { id, label: slide ? String(id + 1) : label, valves: slide ? 0 : valves[id], position: slide ? id + 1 : null, ratio, fundamental: fundamental / ratio, semitones: id };
  });
}

const reading = { id: 'treble', name: 'B-flat treble clef', clef: 'treble', transposition: { diatonic: -1, chromatic: -2 } };
export const instruments = {
  'trumpet-bflat': { id: 'trumpet-bflat', name: 'B-flat trumpet', fundamental: 'Bb2', home_partial: 4, lengths: lengths(116.54, false), readings: [reading], stages: [{ id: 'beginner', floor: 'C4', roof: 'C5' }] },
  'trombone-tenor': { id: 'trombone-tenor', name: 'Tenor trombone', fundamental: 'Bb1', home_partial: 4, lengths: lengths(58.27, true), readings: [{ ...reading, id: 'bass', clef: 'bass' }], stages: [] },
};
export const entries = Object.values(instruments).map(({ id, name, fundamental }) => ({ id, name, fundamental, own: false }));

const names = ['C', 'Db', 'D', 'Eb', 'E', 'F', 'F#', 'G', 'Ab', 'A', 'Bb', 'B'];
export const noteName = (midi) => `${names[((midi % 12) + 12) % 12]}${Math.floor(midi / 12) - 1}`;
const steps = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };
export const midiOf = (name) => (Number(name.slice(-1)) + 1) * 12 + steps[name[0]] + (name.includes('b') ? -1 : name.includes('#') ? 1 : 0);

export function resonances(id, length, extension_mm) {
  const one = instruments[id].lengths[length];
  const f1 = one.fundamental / (1 + extension_mm / 3000);
  const heights = [91, 78, 97, 124, 129, 119, 81, 42, 26, 18];
  return {
    length,
    resonances: heights.map((height, n) => {
      const frequency_hz = f1 * (n + 1) * (n === 0 ? 0.71 : 1 + 0.0008 * Math.sin(n * 2.1) * n);
      const midi = Math.round(69 + 12 * Math.log2(frequency_hz / 440));
      const cents = 1200 * Math.log2(frequency_hz / (440 * 2 ** ((midi - 69) / 12)));
      return { partial: n + 1, frequency_hz, height: height * 1e6, q: 18 + 3 * n, cents, nearest: noteName(midi), threshold_pa: 900 + 900 * n ** 1.3, slot_cents: Math.max(14, 180 - 22 * n) };
    }),
  };
}

export function wave(id, length, hz) {
  const total = 345 / (2 * instruments[id].lengths[length].fundamental);
  const position_m = [...Array(160).keys()].map((n) => (n / 159) * total);
  const bell = (x) => (x > total * 0.65 ? 0.006 + 0.055 * ((x - total * 0.65) / (total * 0.35)) ** 4 : x < 0.02 ? 0.008 - 0.2 * x : 0.0058);
  return { position_m, radius_m: position_m.map(bell), pressure: position_m.map((x) => Math.cos((2 * Math.PI * hz * x) / 345) * (1 - 0.55 * (x / total) ** 3)) };
}

export function chart(id) {
  const notes = {};
  const written = {};
  for (const length of instruments[id].lengths) {
    for (let partial = 1; partial <= 10; partial++) {
      const frequency = length.fundamental * partial;
      const midi = Math.round(69 + 12 * Math.log2(frequency / 440));
      const cents = 1200 * Math.log2(frequency / (440 * 2 ** ((midi - 69) / 12)));
      (notes[midi] ??= []).push({ length: length.id, label: length.label, partial, cents, frequency, kind: partial === 1 ? 'pedal' : 'partial', rank: 0, reason: 'Invented for a test.' });
      written[midi] = noteName(midi + (id.startsWith('trumpet') ? 2 : 0));
    }
  }
  for (const ways of Object.values(notes)) ways.sort((a, b) => Math.abs(a.cents) - Math.abs(b.cents)).forEach((way, rank) => (way.rank = rank));
  return { depth: 'bore', notes, written };
}

export function compare() {
  const base = chart('trumpet-bflat');
  return { notes: Object.entries(base.notes).map(([midi, [way]]) => ({ midi: Number(midi), written: base.written[midi], label: way.label, a_cents: way.cents, b_cents: way.cents + 21 - (Number(midi) - 50) * 0.2, difference_cents: 21 - (Number(midi) - 50) * 1.1 })) };
}
