import { describe, expect, it } from 'vitest';
import { depthAt, ground, hzAt, impedanceAt, xOf } from './terrain';

const one = [{ frequency_hz: 233, height: 80e6, q: 30 }];
const frame = { width: 1000, height: 200, from_hz: 50, to_hz: 1600 };

describe('terrain', () => {
  it('has the resonance height at the resonance', () => {
    expect(impedanceAt(233, one)).toBeCloseTo(80e6, 3);
  });
  // Half-power points of a resonant circuit lie about f/Q apart (textbook definition of Q).
  it('falls to 1/sqrt 2 half a bandwidth away', () => {
    const edge = 233 * (Math.sqrt(1 + 1 / (4 * 900)) + 1 / 60);
    expect(impedanceAt(edge, one) / 80e6).toBeCloseTo(Math.SQRT1_2, 6);
  });
  it('maps frequency to place and back', () => {
    expect(hzAt(xOf(440, frame), frame)).toBeCloseTo(440, 9);
    expect(xOf(50, frame)).toBe(0);
  });
  it('is level without hollows and deepest at the strongest', () => {
    expect(depthAt(100, [])).toBe(0);
    expect(depthAt(233, one)).toBeCloseTo(1, 9);
  });
  it('draws from left to right', () => {
    const path = ground(one, frame, 20);
    expect(path.startsWith('M0.0')).toBe(true);
    expect(path).not.toContain('NaN');
  });
});
