// Reading a part: its notes, its times.
import type { Line, PartNote } from '../server/shapes';

/** Ticks in a quarter note, as the server counts musical time. */
export const ticksPerQuarter = 960;

export function seconds(ticks: number, tempo: number): number {
  return tempo > 0 ? ((ticks / ticksPerQuarter) * 60) / tempo : 0;
}

export function notesOf(line: Line): PartNote[] {
  return line.events.filter((event): event is PartNote => event.kind === 'note');
}

export function restSeconds(line: Line): number {
  return seconds(line.rest_after, line.tempo);
}

export function lineSeconds(line: Line): number {
  return line.events.reduce((sum, event) => sum + ('duration' in event ? seconds(event.duration, line.tempo) : 0), 0);
}

/** The dynamic asked for at a note: the last mark at or before it. */
export function dynamicAt(line: Line, note: string | null): string | null {
  let mark: string | null = null;
  for (const one of notesOf(line)) {
    mark = one.dynamic ?? mark;
    if (note === null || one.id === note) return mark;
  }
  return mark;
}
