// Follows the player through the lines: who is on turn, the player or the rest, and when the take is over.
import { notesOf, restSeconds } from '../../parts/part';
import type { Line } from '../../server/shapes';

export type Phase = 'waiting' | 'playing' | 'resting' | 'over';
export interface Moment {
  at_s: number;
  sounding: boolean;
  line: number | null;
  note: string | null;
}

/** Silence after a line's last note that counts as its end. */
const line_end_s = 0.6;
/** Silence in the middle of a line after which the page waits for the player again. */
const stop_s = 3;
/** Silence after the very last note that ends the take. */
const take_end_s = 2.5;

export class Follower {
  line = 0;
  note: string | null = null;
  phase: Phase = 'waiting';
  rest_left_s = 0;
  #sounded_s = -1;
  #rest_until_s = 0;
  #last = false;

  constructor(private readonly lines: Line[]) {}

  /** Moves to a line by hand. */
  turnTo(line: number): void {
    this.line = Math.max(0, Math.min(this.lines.length - 1, line));
    this.note = null;
    this.#last = false;
    if (this.phase !== 'playing') this.phase = 'waiting';
  }

  hear(moment: Moment): void {
    if (moment.sounding) this.#sound(moment);
    else this.#silence(moment.at_s);
  }

  #sound(moment: Moment): void {
    this.#sounded_s = moment.at_s;
    if (moment.line !== null && moment.line >= 0 && moment.line < this.lines.length) {
      if (moment.line !== this.line) this.note = null;
      this.line = moment.line;
    }
    if (moment.note !== null) {
      this.note = moment.note;
      const notes = this.lines[this.line] ? notesOf(this.lines[this.line] as Line) : [];
      this.#last = notes.at(-1)?.id === moment.note;
    }
    this.phase = 'playing';
  }

  #silence(at_s: number): void {
    const quiet_s = at_s - this.#sounded_s;
    if (this.phase === 'playing' && this.#last && quiet_s >= line_end_s) {
      const line = this.lines[this.line];
      if (this.line >= this.lines.length - 1) {
        if (quiet_s >= take_end_s) this.phase = 'over';
        return;
      }
      this.#rest_until_s = this.#sounded_s + (line ? restSeconds(line) : 0);
      this.line += 1;
      this.note = null;
      this.#last = false;
      this.phase = 'resting';
    } else if (this.phase === 'playing' && quiet_s >= stop_s) this.phase = 'waiting';
    if (this.phase === 'resting') {
      this.rest_left_s = Math.max(0, this.#rest_until_s - at_s);
      if (this.rest_left_s === 0) this.phase = 'waiting';
    }
  }
}
