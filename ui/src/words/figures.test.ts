import { describe, expect, it } from 'vitest';
import { bandOf, countWithInterval, withInterval } from './figures';

describe('a figure with its interval', () => {
  it('has the decimals that half a 95 % interval is worth, as in the report', () => {
    expect(withInterval(-3.4, 1.2)).toBe('−3 ± 2');
    expect(withInterval(3.42, 0.5)).toBe('3.4 ± 1.0');
    expect(withInterval(3.421, 0.02)).toBe('3.42 ± 0.04');
    expect(withInterval(4, 0.5, true)).toBe('+4.0 ± 1.0');
    expect(withInterval(-0.2, 1.2)).toBe('0 ± 2');
    expect(withInterval(null, null)).toBe('–');
  });
  it('is a whole number where it counts', () => {
    expect(countWithInterval(162, 0)).toBe('162');
    expect(countWithInterval(12, 1)).toBe('12 ± 2');
  });
  it('is called flat or sharp beyond what can be told and beyond its interval', () => {
    expect(bandOf()).toBe(5);
    expect(bandOf(1)).toBe(5);
    expect(bandOf(5)).toBeCloseTo(9.8);
  });
});
