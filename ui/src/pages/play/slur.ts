// The slur just played, with the trace of pitch around it.
import type { SlurMessage } from '../../live/messages';
import type { Measure } from '../../server/report';
import type { Recent, Sample } from './recent';

export interface ShownSlur {
  ms: number | null;
  dip_db: number | null;
  from_s: number;
  to_s: number;
  caught: { partial: number; hz: number; ms: number | null }[];
  trace: Sample[];
}

/** Seconds of trace on either side. */
const around_s = 0.4;
const valueOf = (one: Measure): number | null => ('value' in one ? one.value : null);

export function slurFrom(slur: SlurMessage, recent: Recent): ShownSlur {
  return {
    ms: valueOf(slur.slur_ms),
    dip_db: valueOf(slur.dip_db),
    from_s: slur.left_s,
    to_s: slur.entered_s,
    caught: slur.caught.map(({ partial, hz, held_ms }) => ({ partial, hz, ms: valueOf(held_ms) })),
    trace: recent.between(slur.left_s - around_s, slur.entered_s + around_s),
  };
}
