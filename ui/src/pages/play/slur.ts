// The slur just played, out of a note message and the trace around it.
import type { Recent, Sample } from './recent';

export interface ShownSlur {
  ms: number | null;
  from_s: number;
  to_s: number;
  caught: { partial: number; hz: number; ms: number | null }[];
  trace: Sample[];
}

type Loose = Record<string, unknown>;
const number = (value: unknown): number | null => (typeof value === 'number' && Number.isFinite(value) ? value : null);
/** A plain number or a measure with a value. */
const measured = (value: unknown): number | null => number(value) ?? (typeof value === 'object' && value !== null ? number((value as Loose)['value']) : null);

export function slurFrom(message: Loose, recent: Recent): ShownSlur | null {
  const slur = (typeof message['slur'] === 'object' && message['slur'] !== null ? message['slur'] : message) as Loose;
  const left = number(slur['left_s']);
  const entered = number(slur['entered_s']);
  if (left === null || entered === null) return null;
  const caught = (Array.isArray(slur['caught']) ? (slur['caught'] as Loose[]) : []).map((one) => ({ partial: number(one['partial']) ?? 0, hz: number(one['hz']) ?? 0, ms: measured(one['held_ms']) }));
  return { ms: measured(slur['slur_ms']), from_s: left, to_s: entered, caught, trace: recent.between(left - 0.4, entered + 0.4) };
}
