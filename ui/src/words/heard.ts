// The kinds of things the ear tells, and what a language needs to say them by itself. The ear writes English; other languages are said here.
import { given } from './given';
import { pitchName } from './pitch';
import { countWithInterval, place, withInterval } from './figures';
import { language, type Language } from './words.svelte';
import { heard as de } from './de/heard';
import type { Finding, Report } from '../server/report';

export interface FoundAt {
  /** The note where it is most, as it is read; empty where it is about no single note. */
  note: string;
  /** Its line and moment, such as `from C, 0:03.4`. */
  where: string;
  /** The size with its 95 % interval, without its sign. */
  size: string;
  low: boolean;
}
/** A sentence for each kind of finding, verdict and fault that the ear can tell. */
export interface Heard {
  units: Record<string, string>;
  findings: Record<string, (at: FoundAt) => string>;
  verdicts: Record<string, string>;
  faults: Record<string, string>;
}

const own: Partial<Record<Language, Heard>> = { de };

function of(table: Record<string, string> | undefined, kind: string): string | undefined {
  return table && Object.hasOwn(table, kind) ? table[kind] : undefined;
}

/** A finding in the language in use; as the ear wrote it where that language has no sentence for it. */
export function findingSaid(one: Finding, report: Pick<Report, 'lines'>): string {
  const words = own[language()];
  const say = words && Object.hasOwn(words.findings, one.kind) ? words.findings[one.kind] : undefined;
  if (!words || !say) return one.words;
  const [evidence] = one.evidence;
  const line = report.lines.find((each) => each.id === one.line) ?? report.lines.find((each) => each.notes.some((note) => note.id === evidence?.note));
  const note = line?.notes.find((each) => each.id === (evidence?.note || one.notes[0]));
  const count = one.unit === 'notes' ? countWithInterval(one.value, one.uncertainty) : '';
  const unit = of(words.units, count === '1' ? 'note' : one.unit) ?? one.unit;
  return say({
    note: pitchName(note?.written ?? note?.name ?? ''),
    where: [given(line?.label ?? ''), evidence ? place(evidence.from_s) : ''].filter(Boolean).join(', '),
    size: `${count || withInterval(Math.abs(one.value), one.uncertainty)} ${unit}`,
    low: one.value < 0,
  });
}

export function verdictSaid({ kind, words }: Report['verdict']): string {
  return of(own[language()]?.verdicts, kind) ?? words;
}

export function faultSaid({ kind, words }: Report['faults'][number]): string {
  return of(own[language()]?.faults, kind ?? '') ?? words ?? '';
}
