// Finding one's way in a report: notes by id, measures by name.
import type { Measure, Report, ReportLine, ReportNote, ReportSlur } from '../../server/report';

export const valueOf = (one: Measure | undefined | null): number | null => (one && 'value' in one ? one.value : null);
export const uncertaintyOf = (one: Measure | undefined | null): number | null => (one && 'value' in one ? one.uncertainty : null);

/** A note with the line it was heard in and the slur into it. */
export interface Placed {
  note: ReportNote;
  line: ReportLine | null;
  into: ReportSlur | null;
}

/** Every note by its id. A line played again counts as it was played last, unless it was broken off there. */
export function placed(report: Report): Map<string, Placed> {
  const found = new Map<string, Placed>();
  for (const line of report.lines) {
    for (const note of line.notes) {
      const before = found.get(note.id);
      if (before && before.note.outcome !== 'missing' && note.outcome === 'missing') continue;
      found.set(note.id, { note, line, into: line.slurs.find((slur) => slur.to === note.id) ?? null });
    }
  }
  return found;
}

/** The measures of a note in the order a player asks for them; those of the slur into it come last. */
export function measuresOf({ note, into }: Placed): [string, Measure][] {
  const { chipped: _chipped, partials_db: _partials, ...plain } = note.measures;
  const slur = into ? { slur_ms: into.slur_ms, dip_db: into.dip_db, overshoot_cents: into.overshoot_cents } : {};
  return Object.entries({ ...plain, ...slur }).filter((one): one is [string, Measure] => one[1] !== undefined && one[1] !== null);
}

/** Heard at all: a missing note has a place where it was looked for, but no sound. */
export const sounded = (note: ReportNote): boolean => note.outcome !== 'missing' && note.heard_hz !== null;
