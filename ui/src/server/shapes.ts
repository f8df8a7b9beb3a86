// What the server sends and takes, out of its own description (`npm run types`). What that leaves open – instruments, parts,
// charts and reports, which the rooms below write as they are – is written out here.
import type { Report } from './report';
import type { components } from './schema';

type Schemas = components['schemas'];
/** An answer: every field is there, if only as null. */
type Told<T> = T extends (infer E)[] ? Told<E>[] : T extends object ? { [K in keyof T]-?: Told<T[K]> } : T;
/** An answer whose open fields are filled in. */
type With<T, Filled> = Omit<Told<T>, keyof Filled> & Filled;

/** A spelled pitch as text, such as `Bb4`. */
export type PitchName = string;

export type Severity = Schemas['Severity'];
export type Diagnostic = Told<Schemas['Diagnostic']>;
export type Session = Told<Schemas['Door']>;
export type Health = Told<Schemas['Health']>;
export type Settings = Told<Schemas['Settings']>;

export type Backup = Told<Schemas['Backup']>;
export type Verdict = Told<Schemas['Verdict']>;

export type InstrumentEntry = Told<Schemas['InstrumentEntry']>;
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
export type InstrumentPage = With<Schemas['InstrumentSheet'], { instrument: Instrument }>;
export type BoreText = Told<Schemas['BoreSheet']>;
export type Mouthpiece = Told<Schemas['MouthpieceSheet']>;
export type Resonance = Told<Schemas['Resonance']>;
export type Resonances = Told<Schemas['Resonances']>;
export type StandingWave = Told<Schemas['Wave']>;
export type NoteKind = 'partial' | 'pedal' | 'false';
export interface Fingering {
  length: number;
  label: string;
  partial: number;
  cents: number;
  frequency: number;
  kind: NoteKind;
  rank: number;
  reason: string;
}
export type Chart = With<Schemas['ChartSheet'], { notes: Record<string, Fingering[]>; written: Record<string, PitchName> }>;
export type SetUp = Schemas['SetUp'];
export type ComparedNote = Told<Schemas['ComparedNote']>;
export type Comparison = Told<Schemas['SetUpComparison']>;

export type ExerciseEntry = Told<Schemas['ExerciseEntry']>;
export type ExerciseText = With<Schemas['ExerciseSheet'], { exercise: unknown }>;
export type DayEntry = Told<Schemas['RoutineEntry']>;
export type Checked = Told<Schemas['Checked']>;
export type Levels = With<Schemas['LevelsSheet'], { levels: { id: string; name?: string }[] }>;

export type Leadpipe = Told<Schemas['Leadpipe']>;

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
}
export type Expanded = With<Schemas['Expanded'], { part: Part }>;
export type Source = Schemas['Source'];
/** How a sheet is to look; its language is that of the page. */
export type Print = Omit<Schemas['Look'], 'language'>;
export type ExportFormat = Schemas['Format'];
export type Binding = Omit<Schemas['Binding'], 'language'>;

export type PlayerInput = Told<Schemas['PlayerInput']>;
export type Player = Told<Schemas['Player']>;
export type ProgressSeries = Told<Schemas['Series']>;
export type Progress = Told<Schemas['Progress']>;
export type Advice = Told<Schemas['Advice']>;
export type DayLoad = Told<Schemas['DayLoad']>;
export type LessonInput = Told<Schemas['LessonInput']>;
export type Lesson = Told<Schemas['Lesson']>;

export type Gap = Told<Schemas['Gap']>;
export type Origin = Told<Schemas['Origin']>;
export type Take = With<Schemas['Take'], { origin: Origin | null; summary: Record<string, unknown> | null }>;
export type TakeNote = Told<Schemas['TakeNote']>;
export type TakeNoteInput = Schemas['TakeNoteInput'];
export type Takes = With<Schemas['TakePage'], { takes: Take[] }>;
export type TakePage = With<Schemas['TakeSheet'], { take: Take; part: Part | null; report: Report | null; notes: TakeNote[] }>;
export type Heard = { take: Take; report: Report | null };
export type Curves = Told<Schemas['Curves']>;
export type Spectrum = Told<Schemas['Spectrum']>;
export type ComparedMeasure = Told<Schemas['ComparedMeasure']>;
export type TakeComparison = Told<Schemas['TakeComparison']>;
export type Pages = Told<Schemas['Pages']>;
