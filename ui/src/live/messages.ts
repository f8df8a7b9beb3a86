// What the server says over the live line. Unknown kinds and fields are let pass.
import type { Part, Take } from '../server/shapes';

export interface StateMessage {
  type: 'state';
  at_s: number;
  sent_ms: number;
  f0_hz: number | null;
  confidence: number;
  level_db: number;
  line: number | string | null;
  note: string | null;
  cents?: number | null;
}
export type Message =
  | { type: 'ready'; take: string; next_seq: number; next_sample: number; part: Part | null }
  | { type: 'ack'; next_seq: number; durable_seq: number }
  | StateMessage
  | ({ type: 'note' } & Record<string, unknown>)
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
