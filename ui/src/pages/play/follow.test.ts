import { describe, expect, it } from 'vitest';
import type { Line, PartNote } from '../../server/shapes';
import { Follower } from './follow';

const note = (id: string): PartNote => ({
  kind: 'note', id, written: 'C4', sounding: 'Bb3', duration: 960, slurred: false, articulation: 'plain', dynamic: null,
  fingering: { length: 0, label: '0', partial: 2, cents: 0, alternate: false, kind: 'partial', reason: '' },
});
// At 60 quarters a minute 4 x 960 ticks are four seconds of rest.
const line = (n: number): Line => ({ id: `l${n}`, label: '', exercise: '', key: 0, root: 'Bb3', events: [note(`l${n}n1`), note(`l${n}n2`)], rest_after: 3840, tempo: 60, load: 0 });
const play = (at_s: number, at: string) => ({ at_s, sounding: true, line: Number(at[1]), note: at });
const quiet = (at_s: number) => ({ at_s, sounding: false, line: null, note: null });

describe('follower', () => {
  it('counts the rest after a line and puts up the next one', () => {
    const one = new Follower([line(0), line(1)]);
    one.hear(play(1, 'l0n1'));
    one.hear(play(2, 'l0n2'));
    one.hear(quiet(2.3));
    expect([one.phase, one.line]).toEqual(['playing', 0]);
    one.hear(quiet(3));
    expect([one.phase, one.line]).toEqual(['resting', 1]);
    expect(one.rest_left_s).toBeCloseTo(3, 9);
    one.hear(quiet(6.1));
    expect(one.phase).toBe('waiting');
  });
  it('goes on at once when the player does', () => {
    const one = new Follower([line(0), line(1)]);
    one.hear(play(2, 'l0n2'));
    one.hear(quiet(3));
    one.hear(play(3.2, 'l1n1'));
    expect([one.phase, one.line, one.note]).toEqual(['playing', 1, 'l1n1']);
  });
  it('waits when the player stops in the middle', () => {
    const one = new Follower([line(0), line(1)]);
    one.hear(play(1, 'l0n1'));
    one.hear(quiet(4.5));
    expect([one.phase, one.line]).toEqual(['waiting', 0]);
  });
  it('follows a player who goes back or skips', () => {
    const one = new Follower([line(0), line(1), line(2)]);
    one.hear(play(1, 'l2n1'));
    expect(one.line).toBe(2);
    one.hear(play(2, 'l0n1'));
    expect(one.line).toBe(0);
  });
  it('is over after the last note and a silence', () => {
    const one = new Follower([line(0)]);
    one.hear(play(2, 'l0n2'));
    one.hear(quiet(3));
    expect(one.phase).toBe('playing');
    one.hear(quiet(4.6));
    expect(one.phase).toBe('over');
  });
});
