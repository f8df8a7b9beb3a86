// An invented studio for the page's own tests: the town band school of Tidewell.
export function studio() {
  return {
    bare: false,
    settings: { a4: 440, temperament: 'equal', temperature_c: 21, theme: 'auto', language: 'en', count_in_beats: 4, drone: true, large_print: false, paper: 'a4', calibration_db: null, fingerings: 'always', player: null },
    exercises: [],
    players: [],
    lessons: [],
    takes: [],
    takePages: {},
    series: [],
    advice: [],
    load: { day: '2026-11-25', playing_s: 0, rest_s: 0, load: 0, limit_minutes: null, limit_load: null, left_minutes: null, advice: [], cautions: [], week: [] },
  };
}
