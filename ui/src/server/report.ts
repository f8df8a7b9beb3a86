// The report of a take as the ear writes it; times are seconds from the take's start.

/** A value with its standard uncertainty, or the reason why there is none. */
export type Measure = { value: number; uncertainty: number } | { why: string };

export type Outcome = 'as-asked' | 'other-partial' | 'wrong' | 'missing' | 'extra';
export interface OtherPartial {
  partial: number;
  hz: number;
  held_ms: Measure;
  from_s: number;
  confidence: number;
}
export interface NoteMeasures {
  pitch_cents: Measure;
  wander_cents: Measure;
  vibrato_hz: Measure;
  vibrato_cents: Measure;
  scoop_cents: Measure;
  attack_ms: Measure;
  chipped: OtherPartial | null;
  release_ms: Measure;
  sag_cents: Measure;
  level_db: Measure;
  level_dba: Measure;
  brightness: Measure;
  partials_db: Measure[];
  noise_db: Measure;
}
export interface ReportNote {
  id: string;
  name: string;
  written: string | null;
  fingering: string | null;
  asked_hz: number | null;
  partial: number;
  outcome: Outcome;
  confidence: number;
  heard_hz: number | null;
  from_s: number;
  to_s: number;
  slurred: boolean;
  measures: NoteMeasures;
}
export interface ReportSlur {
  from: string;
  to: string;
  names: [string, string];
  from_s: number;
  to_s: number;
  slur_ms: Measure;
  dip_db: Measure;
  overshoot_cents: Measure;
  caught: OtherPartial[];
}
export interface ReportLine {
  id: string;
  label: string;
  pass: number;
  from_s: number;
  to_s: number;
  notes: ReportNote[];
  slurs: ReportSlur[];
}
export interface RoofNote {
  line: string;
  note: string;
  at_s: number;
  below: number;
  level_db: Measure;
  pitch_cents: Measure;
  attack_ms: Measure;
  sound_db: Measure;
}
export interface SameRoof {
  name: string;
  midi: number;
  times: RoofNote[];
  level_spread_db: Measure;
  pitch_spread_cents: Measure;
  sound_spread_db: Measure;
}
export interface Finding {
  kind: string;
  words: string;
  line: string | null;
  notes: string[];
  value: number;
  uncertainty: number;
  unit: string;
  weight: number;
  evidence: { note: string; from_s: number; to_s: number }[];
}
export interface Report {
  verdict: { kind: string; trusted: boolean; words: string };
  room: { words: string[] };
  faults: { kind?: string; words?: string }[];
  take: { seconds: number; playing_s: number; asked: number; as_asked: number; wrong: number; missing: number; extra: number };
  lines: ReportLine[];
  other_notes: ReportNote[];
  same_roof: SameRoof[];
  findings: Finding[];
  cautions: string[];
}
