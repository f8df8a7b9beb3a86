// Every question the page puts to the server, one line each.
import { address, ask, currentSession, raw, setSession } from './ask';
import { language } from '../words/words.svelte';
import type * as S from './shapes';

const id = encodeURIComponent;
type Signal = { signal?: AbortSignal };

export interface TubeQuery {
  instrument: string;
  mouthpiece?: string | null;
  leadpipe?: string | null;
  temperature_c: number;
  length: number;
  /** How much further the hand slide is out than its whole position, mm of travel. */
  extension_mm?: number;
  a4?: number;
  /** Whether blowing pressure and slot width are wanted too; they take longer. */
  slots?: boolean;
}
const tube = ({ instrument: _, ...rest }: TubeQuery) => rest;

export const session = {
  now: currentSession,
  async open(passphrase: string): Promise<S.Session> {
    const next = await ask<S.Session>('POST', '/api/session', { json: { passphrase } });
    setSession(next);
    return next;
  },
};

export const general = {
  health: () => ask<S.Health>('GET', '/api/health'),
  settings: () => ask<S.Settings>('GET', '/api/settings'),
  keepSettings: (settings: S.Settings) => ask<S.Settings>('PUT', '/api/settings', { json: settings }),
  exportAddress: '/api/export',
  backUp: () => ask<S.Backup>('POST', '/api/backups'),
  lookOver: () => ask<S.Verdict>('POST', '/api/doctor', { json: { repair: false } }),
  bringIn: (file: Blob) => ask<Record<string, number>>('POST', '/api/import', { body: file }),
};

export const instruments = {
  all: () => ask<S.InstrumentEntry[]>('GET', '/api/instruments'),
  one: (instrument: string) => ask<S.InstrumentPage>('GET', `/api/instruments/${id(instrument)}`),
  add: (text: string) => ask<S.InstrumentPage>('POST', '/api/instruments', { json: { text } }),
  change: (instrument: string, text: string) => ask<S.InstrumentPage>('PUT', `/api/instruments/${id(instrument)}`, { json: { text } }),
  remove: (instrument: string) => ask<void>('DELETE', `/api/instruments/${id(instrument)}`),
  restore: (instrument: string) => ask<unknown>('POST', `/api/instruments/${id(instrument)}/restore`),
  bore: (instrument: string) => ask<S.BoreText>('GET', `/api/instruments/${id(instrument)}/bore`),
  setBore: (instrument: string, text: string) => ask<S.BoreText>('PUT', `/api/instruments/${id(instrument)}/bore`, { json: { text } }),
  removeBore: (instrument: string) => ask<void>('DELETE', `/api/instruments/${id(instrument)}/bore`),
  restoreBore: (instrument: string) => ask<unknown>('POST', `/api/instruments/${id(instrument)}/bore/restore`),
  resonances: (q: TubeQuery, s: Signal = {}) => ask<S.Resonances>('GET', `/api/instruments/${id(q.instrument)}/resonances`, { query: tube(q), ...s }),
  wave: (q: TubeQuery, frequency_hz: number, s: Signal = {}) =>
    ask<S.StandingWave>('GET', `/api/instruments/${id(q.instrument)}/standing-wave`, { query: { ...tube(q), frequency_hz }, ...s }),
  chart: (instrument: string, query: Record<string, string | number | null>, s: Signal = {}) =>
    ask<S.Chart>('GET', `/api/instruments/${id(instrument)}/chart`, { query, ...s }),
  compare: (a: S.SetUp, b: S.SetUp, s: Signal = {}) => ask<S.Comparison>('POST', '/api/compare', { json: { a, b }, ...s }),
};

export const mouthpieces = {
  all: () => ask<S.Mouthpiece[]>('GET', '/api/mouthpieces'),
  add: (text: string) => ask<S.Mouthpiece>('POST', '/api/mouthpieces', { json: { text } }),
  change: (mouthpiece: string, text: string) => ask<S.Mouthpiece>('PUT', `/api/mouthpieces/${id(mouthpiece)}`, { json: { text } }),
  remove: (mouthpiece: string) => ask<void>('DELETE', `/api/mouthpieces/${id(mouthpiece)}`),
  restore: (mouthpiece: string) => ask<S.Mouthpiece>('POST', `/api/mouthpieces/${id(mouthpiece)}/restore`),
};

export const leadpipes = {
  all: () => ask<S.Leadpipe[]>('GET', '/api/leadpipes'),
};

export const exercises = {
  all: () => ask<S.ExerciseEntry[]>('GET', '/api/exercises'),
  one: (exercise: string) => ask<S.ExerciseText>('GET', `/api/exercises/${id(exercise)}`),
  add: (text: string) => ask<S.ExerciseText>('POST', '/api/exercises', { json: { text } }),
  change: (exercise: string, text: string) => ask<S.ExerciseText>('PUT', `/api/exercises/${id(exercise)}`, { json: { text } }),
  remove: (exercise: string) => ask<void>('DELETE', `/api/exercises/${id(exercise)}`),
  restore: (exercise: string) => ask<unknown>('POST', `/api/exercises/${id(exercise)}/restore`),
  check: (text: string, s: Signal = {}) => ask<S.Checked>('POST', '/api/exercises/check', { json: { text }, ...s }),
};

export const levels = {
  all: () => ask<S.Levels>('GET', '/api/levels'),
  keep: (text: string) => ask<unknown>('PUT', '/api/levels', { json: { text } }),
  reset: () => ask<unknown>('DELETE', '/api/levels'),
};

export const advice = {
  text: () => ask<{ text: string }>('GET', '/api/advice'),
  keep: (text: string) => ask<unknown>('PUT', '/api/advice', { json: { text } }),
  reset: () => ask<unknown>('DELETE', '/api/advice'),
};

export const parts = {
  expand: (source: S.Source, s: Signal = {}) => ask<S.Expanded>('POST', '/api/parts', { json: source, ...s }),
  engraving: (source: S.Source, print: S.Print = {}, s: Signal = {}) =>
    ask<S.Pages>('POST', '/api/parts/engraving', { json: { ...source, ...print, language: language() }, ...s }),
  export: (source: S.Source, format: S.ExportFormat) => raw('POST', '/api/parts/export', { json: { ...source, format, language: language() } }),
};

export const books = {
  days: () => ask<S.DayEntry[]>('GET', '/api/routines'),
  bind: (binding: S.Binding) => raw('POST', '/api/books', { json: { ...binding, language: language() } }),
};

export const players = {
  all: () => ask<S.Player[]>('GET', '/api/players'),
  add: (player: S.PlayerInput) => ask<S.Player>('POST', '/api/players', { json: player }),
  change: (player: string, next: S.PlayerInput) => ask<S.Player>('PUT', `/api/players/${id(player)}`, { json: next }),
  remove: (player: string) => ask<void>('DELETE', `/api/players/${id(player)}`),
  restore: (player: string) => ask<S.Player>('POST', `/api/players/${id(player)}/restore`),
  progress: (player: string, query: { skill?: string; zone?: string }) => ask<S.Progress>('GET', `/api/players/${id(player)}/progress`, { query }),
  load: (player: string, day: string, offset_minutes: number) => ask<S.DayLoad>('GET', `/api/players/${id(player)}/load`, { query: { day, offset_minutes } }),
  advice: (player: string) => ask<S.Advice[]>('GET', `/api/players/${id(player)}/advice`),
};

export const lessons = {
  of: (player: string) => ask<S.Lesson[]>('GET', '/api/lessons', { query: { player } }),
  one: (lesson: string) => ask<S.Lesson>('GET', `/api/lessons/${id(lesson)}`),
  add: (lesson: S.LessonInput) => ask<S.Lesson>('POST', '/api/lessons', { json: lesson }),
  change: (lesson: string, next: S.LessonInput) => ask<S.Lesson>('PUT', `/api/lessons/${id(lesson)}`, { json: next }),
  remove: (lesson: string) => ask<void>('DELETE', `/api/lessons/${id(lesson)}`),
  restore: (lesson: string) => ask<S.Lesson>('POST', `/api/lessons/${id(lesson)}/restore`),
};

export const takes = {
  some: (query: { player?: string; exercise?: string; limit?: number; before?: string }) =>
    ask<S.Takes>('GET', '/api/takes', { query }),
  one: (take: string) => ask<S.TakePage>('GET', `/api/takes/${id(take)}`),
  bring: (file: Blob, query: { player?: string; exercise?: string; instrument: string; title: string; started_ms: number }) =>
    ask<S.Take>('POST', '/api/takes', { body: file, query }),
  hear: (take: string) => ask<S.Heard>('POST', `/api/takes/${id(take)}/hear`),
  remove: (take: string) => ask<void>('DELETE', `/api/takes/${id(take)}`),
  restore: (take: string) => ask<unknown>('POST', `/api/takes/${id(take)}/restore`),
  audioAddress: (take: string) => `/api/takes/${id(take)}/audio`,
  reportPage: (take: string) => raw('GET', `/api/takes/${id(take)}/report.html?language=${language()}`).then((answer) => answer.text()),
  curves: (take: string, from_s: number, to_s: number, s: Signal = {}) => ask<S.Curves>('GET', `/api/takes/${id(take)}/curves`, { query: { from_s, to_s }, ...s }),
  spectrum: (take: string, at_s: number, s: Signal = {}) => ask<S.Spectrum>('GET', `/api/takes/${id(take)}/spectrum`, { query: { at_s }, ...s }),
  engraving: (take: string) => ask<S.Pages>('GET', `/api/takes/${id(take)}/engraving`, { query: { language: language() } }),
  compare: (a: string, b: string) => ask<S.TakeComparison>('GET', `/api/takes/${id(a)}/compare/${id(b)}`),
  say: (take: string, note: S.TakeNoteInput) => ask<S.TakeNote>('POST', `/api/takes/${id(take)}/notes`, { json: note }),
  unsay: (take: string, note: string) => ask<void>('DELETE', `/api/takes/${id(take)}/notes/${id(note)}`),
  sayAgain: (take: string, note: string) => ask<unknown>('POST', `/api/takes/${id(take)}/notes/${id(note)}/restore`),
};

export const voice = {
  drone: (frequency_hz: number, seconds = 10) => address('/api/voice/drone', { frequency_hz: frequency_hz.toFixed(3), seconds }),
  tone: (frequency_hz: number, seconds = 3) => address('/api/voice/tone', { frequency_hz: frequency_hz.toFixed(3), seconds }),
};
