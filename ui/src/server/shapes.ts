// What the server sends and takes, as the page uses it. Names and units are the server's.
import type { Report } from './report';

/** A spelled pitch as text, such as `Bb4`. */
export type PitchName = string;

export type Severity = 'error' | 'warning' | 'note';
export interface Diagnostic {
  severity: Severity;
  message: string;
  line: number | null;
  column: number | null;
  help: string | null;
}

export interface Session {
  token: string;
  signed_in: boolean;
  needs_passphrase: boolean;
  network: boolean;
}
export interface Health {
  status: string;
  version: string;
  engraver: boolean;
  takes: number;
  disk_free_bytes: number | null;
  recording: number;
}
export interface Settings {
  a4: number;
  temperament: string;
  temperature_c: number;
  theme: 'auto' | 'light' | 'dark';
  language: string;
  count_in_beats: number;
  drone: boolean;
  large_print: boolean;
  paper: 'a4' | 'letter';
  calibration_db: number | null;
  fingerings: 'always' | 'unusual' | 'never';
  player: string | null;
}

export interface InstrumentEntry {
  id: string;
  name: string;
  fundamental: PitchName;
  own: boolean;
}
export interface Length {
  id: number;
  label: string;
  valves: number;
  position: number | null;
  ratio: number;
  fundamental: number;
  semitones: number;
}
export interface Reading {
  id: string;
  name: string;
  clef: string;
  transposition: unknown;
}
export interface Stage {
  id: string;
  floor: PitchName;
  roof: PitchName;
}
export interface Instrument {
  id: string;
  name: string;
  fundamental: PitchName;
  home_partial: number;
  lengths: Length[];
  readings: Reading[];
  stages: Stage[];
}
export interface InstrumentPage {
  instrument: Instrument;
  own: boolean;
  text: string;
  bore: boolean;
}
export interface Mouthpiece {
  id: string;
  name: string;
}
export interface Resonance {
  partial: number;
  frequency_hz: number;
  height: number;
  q: number;
  cents: number;
  nearest: PitchName;
  threshold_pa?: number | null;
  slot_cents?: number | null;
}
export interface Resonances {
  length: number;
  resonances: Resonance[];
}
export interface Impedance {
  frequency_hz: number[];
  magnitude: number[];
}
export interface StandingWave {
  position_m: number[];
  pressure: number[];
  radius_m: number[];
}
export interface Fingering {
  length: number;
  label: string;
  partial: number;
  cents: number;
  frequency: number;
  kind: NoteKind;
  rank: number;
  reason: string;
  support?: number | null;
  threshold_pa?: number | null;
  slot_cents?: number | null;
}
export type NoteKind = 'partial' | 'pedal' | 'false';
export interface Chart {
  depth: string;
  notes: Record<string, Fingering[]>;
  written: Record<string, PitchName>;
}
export interface SetUp {
  instrument: string;
  mouthpiece?: string | null;
  temperature_c?: number | null;
}
export interface ComparedNote {
  midi: number;
  written: PitchName;
  label: string;
  a_cents: number;
  b_cents: number;
  difference_cents: number;
}
export interface Comparison {
  notes: ComparedNote[];
}

export interface ExerciseEntry {
  id: string;
  title: string;
  family: string;
  purpose: string;
  own: boolean;
}
export interface ExerciseText {
  id: string;
  own: boolean;
  text: string;
  diagnostics: Diagnostic[];
}
export interface Checked {
  ok: boolean;
  diagnostics: Diagnostic[];
  formatted: string | null;
}
export interface Levels {
  text: string;
  levels: { id: string; name?: string }[];
}

export type Dynamic = 'pp' | 'p' | 'mp' | 'mf' | 'f' | 'ff';
export interface Fingered {
  length: number;
  label: string;
  partial: number;
  cents: number;
  alternate: boolean;
  kind: NoteKind;
  reason: string;
}
export interface PartNote {
  kind: 'note';
  id: string;
  written: PitchName;
  sounding: PitchName;
  duration: number;
  fingering: Fingered;
  slurred: boolean;
  articulation: 'plain' | 'staccato' | 'tenuto' | 'accent';
  dynamic: Dynamic | null;
}
export interface PartRest {
  kind: 'rest';
  duration: number;
}
export type PartEvent = PartNote | PartRest | { kind: 'breath' };
export interface Line {
  id: string;
  label: string;
  exercise: string;
  key: unknown;
  root: PitchName;
  events: PartEvent[];
  rest_after: number;
  tempo: number;
  load: number;
}
export interface Part {
  title: string;
  purpose: string;
  cautions: string[];
  words: string;
  player: string;
  instrument: string;
  instrument_name: string;
  clef: string;
  transposition: unknown;
  meter: [number, number] | null;
  lines: Line[];
  left_out: { what: string; why: string }[];
  totals: { playing_s: number; rest_s: number; load: number };
  warnings?: string[];
  sections?: Section[];
}
export interface Section {
  exercise: string;
  title: string;
  purpose: string;
  words: string;
  cautions: string[];
  meter: [number, number] | null;
  first_line: number;
  line_count: number;
}
export interface Expanded {
  part: Part;
  diagnostics: Diagnostic[];
}
export interface Source {
  exercise?: string;
  text?: string;
  player: string | PlayerInput;
  level?: string;
  seed?: number;
}
export type ExportFormat = 'musicxml' | 'mxl' | 'midi' | 'svg' | 'pdf';

export interface PlayerInput {
  name: string;
  instrument: string;
  reading: string | null;
  level: string | null;
  floor: PitchName | null;
  roof: PitchName | null;
  stretch_floor: PitchName | null;
  stretch_roof: PitchName | null;
  pedals: boolean;
  minutes_a_day: number;
  load_a_day: number | null;
  words: string;
}
export interface Player extends PlayerInput {
  id: string;
  created_ms: number;
  changed_ms: number;
}
export interface ProgressSeries {
  skill: string;
  unit: string;
  better: 'lower' | 'higher' | 'none';
  zone: 'low' | 'middle' | 'high' | 'pedal' | 'all';
  points: { at_ms: number; value: number; sigma: number; take: string }[];
  level: number | null;
  level_sd: number | null;
  change: number | null;
  change_sd: number | null;
  verdict: 'better' | 'worse' | 'no-clear-change' | 'too-few';
}
export interface Advice {
  finding: string;
  words: string;
  exercise?: string | null;
  weight: number;
}
export interface DayLoad {
  day: string;
  playing_s: number;
  rest_s: number;
  load: number;
  limit_minutes: number | null;
  limit_load: number | null;
  left_minutes: number | null;
  advice: Advice[];
  cautions: string[];
  week: { day: string; playing_s: number; load: number }[];
}
export interface LessonInput {
  player: string;
  at_ms: number;
  title: string;
  text: string;
  exercises: string[];
  takes: string[];
}
export interface Lesson extends LessonInput {
  id: string;
  created_ms: number;
  changed_ms: number;
}

export interface Gap {
  at_s: number;
  seconds: number;
  why: string;
}
export interface Take {
  id: string;
  player: string | null;
  exercise: string | null;
  instrument: string;
  title: string;
  started_ms: number;
  seconds: number;
  sample_rate: number;
  channels: number;
  sha256: string;
  bytes: number;
  gaps: Gap[];
  recovered: boolean;
  heard: boolean;
  summary: Record<string, unknown> | null;
  created_ms: number;
}
export interface TakeNote {
  id: string;
  take: string;
  at_s: number;
  author: string;
  text: string;
  created_ms: number;
  changed_ms: number;
}
export interface TakePage {
  take: Take;
  part: Part | null;
  report: Report | null;
  notes: TakeNote[];
}
export interface Curves {
  at_s: number[];
  f0_hz: (number | null)[];
  level_db: (number | null)[];
}
export interface Spectrum {
  frequency_hz: number[];
  level_db: number[];
}
export interface ComparedMeasure {
  measure: string;
  unit: string;
  a: number | null;
  a_sd: number | null;
  b: number | null;
  b_sd: number | null;
  difference: number | null;
  difference_sd: number | null;
}
