import { describe, expect, it } from 'vitest';
import type { Report, ReportNote } from '../../server/report';
import { placed, sounded, uncertaintyOf, valueOf } from './hearing';

const note = (id: string, outcome: ReportNote['outcome']) => ({ id, outcome, heard_hz: outcome === 'missing' ? null : 440, measures: {} }) as unknown as ReportNote;
const report = {
  lines: [
    { id: 'l1', pass: 0, notes: [note('a', 'as-asked'), note('b', 'missing')], slurs: [{ from: 'a', to: 'b' }] },
    { id: 'l1', pass: 1, notes: [note('a', 'missing'), note('b', 'as-asked')], slurs: [] },
  ],
} as unknown as Report;

describe('hearing', () => {
  it('takes the last time a note was played, and never a missing one over a heard one', () => {
    const found = placed(report);
    expect(['a', 'b'].map((id) => found.get(id)?.line?.pass)).toEqual([0, 1]);
    expect(found.get('a')?.into).toBeNull();
  });
  it('knows what sounded', () => {
    expect([sounded(note('x', 'wrong')), sounded(note('x', 'missing'))]).toEqual([true, false]);
  });
  it('reads measures and reasons', () => {
    expect([valueOf({ value: 2, uncertainty: 1 }), uncertaintyOf({ value: 2, uncertainty: 1 }), valueOf({ why: 'too-short' }), valueOf(undefined)]).toEqual([2, 1, null, null]);
  });
});
