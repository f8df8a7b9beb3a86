// What the server says over the live line. Unknown kinds and fields are let pass.
import type { Measure, OtherPartial } from '../server/report';
import type { Part, Take } from '../server/shapes';

export interface StateMessage {
  type: 'state';
  at_s: number;
  sent_ms: number;
  f0_hz: number | null;
  confidence: number;
  level_db: number;
  /** The same as a meter reads it; only once the microphone was calibrated. */
  level_dba?: number | null;
  /** The moment that pitch and place tell of; the ear listens a little further before it says so. */
  heard_s?: number | null;
  line: number | string | null;
  note: string | null;
  cents?: number | null;
}
/** A note that ended. */
export interface NoteMessage {
  type: 'note';
  line: string | null;
  note: string | null;
  from_s: number;
  to_s: number;
  pitch_cents: number | null;
  level_db: number | null;
}
/** A slur that was played, measured as in a file. */
export interface SlurMessage {
  type: 'slur';
  from: string | null;
  to: string | null;
  left_s: number;
  entered_s: number;
  slur_ms: Measure;
  dip_db: Measure;
  overshoot_cents: Measure;
  caught: OtherPartial[];
}
export type Message =
  | { type: 'ready'; take: string; next_seq: number; next_sample: number; part: Part | null }
  | { type: 'ack'; next_seq: number; durable_seq: number }
  | StateMessage
  | NoteMessage
  | SlurMessage
  | { type: 'gap'; at_s: number; seconds: number; why: string }
  | { type: 'resend'; from_seq: number }
  | { type: 'saved'; take: Take }
  | { type: 'heard'; take: string }
  | { type: 'discarded' }
  | { type: 'pong'; t: number }
  | { type: 'error'; code: string; detail: string; fatal: boolean };

export function parsed(text: string): Message | null {
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === 'object' && value !== null && 'type' in value ? (value as Message) : null;
  } catch {
    return null;
  }
}
