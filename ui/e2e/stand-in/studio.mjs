// An invented studio for the page's own tests: the town band school of Tidewell.
import * as music from './music.mjs';

/** A studio on its first day: a catalogue and a library, nobody and nothing else. */
export function emptyStudio() {
  return {
    settings: { a4: 440, temperament: 'equal', temperature_c: 21, theme: 'auto', language: 'en', count_in_beats: 4, drone: true, large_print: false, paper: 'a4', calibration_db: null, fingerings: 'always', player: null },
    exercises: [...music.exercises],
    players: [],
    lessons: [],
    takes: [],
    takePages: {},
    series: [],
    advice: [],
    load: { day: '2026-11-25', playing_s: 0, rest_s: 0, load: 0, limit_minutes: null, limit_load: null, left_minutes: null, advice: [], cautions: [], week: [] },
    text: music.text,
    part: music.part,
    engraving: music.engraving,
    curves: music.curvesBetween,
    spectrum: music.spectrumAt,
    compared: music.compared,
    audio: silence(42),
  };
}

const person = (id, name, instrument) => ({ id, name, instrument, reading: null, level: 'middle', floor: 'A3', roof: 'E5', stretch_floor: null, stretch_roof: null, pedals: false, minutes_a_day: 30, load_a_day: null, words: 'Sings before playing, and it shows.', created_ms: 0, changed_ms: 0 });
const day_ms = 86_400_000;
const today = 1795600000000;

/** The same studio some weeks on. */
export function studio() {
  const takePage = (take) => ({ take, part: music.part, report: take.heard ? music.report : null, notes: [{ id: 'n1', take: take.id, at_s: 3.2, author: 'Mirela', text: 'Here the air stopped. Keep it going through the change.', created_ms: 0, changed_ms: 0 }] });
  const points = (from, to) => [...Array(9).keys()].map((n) => ({ at_ms: today - (9 - n) * 3 * day_ms, value: from + ((to - from) * n) / 8 + Math.sin(n * 2.3), sigma: 1.4, takes: 2 }));
  return {
    ...emptyStudio(),
    players: [person('p1', 'Ada', 'trumpet-bflat'), person('p2', 'Tomas', 'trombone-tenor')],
    takes: [...music.takes],
    takePages: Object.fromEntries(music.takes.map((take) => [take.id, takePage(take)])),
    lessons: [{ id: 'l1', player: 'p1', at_ms: today - 2 * day_ms, title: 'The top stays the top', text: 'Arpeggios from B down to A flat, always the same E on top.\nNext: from G.', exercises: ['under-one-roof', 'held-breath'], takes: ['t1'], created_ms: 0, changed_ms: 0 }],
    series: [
      { skill: 'centring', unit: 'cents', better: 'lower', by_register: true, zone: 'all', points: points(12, 5), level: 4.2, level_sd: 1, change: -7.1, change_sd: 1.7, verdict: 'better' },
      { skill: 'centring', unit: 'cents', better: 'lower', by_register: true, zone: 'high', points: points(14, 5), level: 5.2, level_sd: 1, change: -8.1, change_sd: 1.9, verdict: 'better' },
      { skill: 'slurs', unit: 'ms', better: 'lower', by_register: true, zone: 'all', points: points(40, 38), level: 38, level_sd: 3, change: -2, change_sd: 4, verdict: 'no-clear-change' },
    ],
    advice: [{ finding: 'caught', words: 'Let the tongue say ee a moment before the lip knows.', exercise: 'two-partials', weight: 3 }],
    load: {
      day: '2026-11-25', playing_s: 1110, rest_s: 1200, load: 41.5, limit_minutes: 30, limit_load: 60, left_minutes: 11.5, advice: [], cautions: ['Levels here are relative: nothing can be said about the ears before the microphone is calibrated.'],
      week: [0, 1200, 900, 0, 1500, 1620, 1110].map((playing_s, n) => ({ day: `2026-11-${19 + n}`, playing_s, load: playing_s / 30 })),
    },
  };
}

/** Seconds of silence as a WAV file. */
function silence(seconds) {
  const count = seconds * 8000;
  const file = Buffer.alloc(44 + count * 2);
  file.write('RIFF', 0);
  file.writeUInt32LE(36 + count * 2, 4);
  file.write('WAVEfmt ', 8);
  file.writeUInt32LE(16, 16);
  file.writeUInt16LE(1, 20);
  file.writeUInt16LE(1, 22);
  file.writeUInt32LE(8000, 24);
  file.writeUInt32LE(16000, 28);
  file.writeUInt16LE(2, 32);
  file.writeUInt16LE(16, 34);
  file.write('data', 36);
  file.writeUInt32LE(count * 2, 40);
  return file;
}
