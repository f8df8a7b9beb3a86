import { describe, expect, it } from 'vitest';
import { bare, quoted, rawValue, standsElsewhere, withValue } from './toml-lines';

const text = `# mine
version = 1
title = "Under # one roof"  # keep me
figure = { degrees = [1, 3, 5, 8] }
rhythm = [
  "quarter",
]

[travel]
from = "C4"
title = "not this"
`;

describe('toml lines', () => {
  it('reads values of one line', () => {
    expect(bare(rawValue(text, 'title') ?? '')).toBe('Under # one roof');
    expect(rawValue(text, 'figure')).toBe('{ degrees = [1, 3, 5, 8] }');
    expect(rawValue(text, 'from')).toBeNull();
  });
  it('says what it can not hold', () => {
    expect(standsElsewhere(text, 'rhythm')).toBe(true);
    expect(standsElsewhere(text, 'travel')).toBe(true);
    expect(standsElsewhere(text, 'roof')).toBe(false);
  });
  it('keeps comments and everything else', () => {
    const next = withValue(text, 'title', quoted('A "new" one'));
    expect(next).toContain('title = "A \\"new\\" one"  # keep me');
    expect(next.split('\n').filter((_, n) => n !== 2)).toEqual(text.split('\n').filter((_, n) => n !== 2));
  });
  it('adds before the first table and takes away', () => {
    const added = withValue(text, 'roof', '"C6"');
    expect(added.indexOf('roof = "C6"')).toBeLessThan(added.indexOf('[travel]'));
    expect(withValue(added, 'roof', '')).toBe(text);
  });
  it('leaves longer values alone', () => {
    expect(withValue(text, 'rhythm', '["half"]')).toBe(text);
  });
});
