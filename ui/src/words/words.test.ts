import { describe, expect, it } from 'vitest';
import { catalogues } from './words.svelte';

type Tree = { [key: string]: string | Tree | ((...given: never[]) => string) };

/** Every key with what it says; functions are asked with plain samples. */
function leaves(tree: Tree, at = ''): Map<string, string> {
  const found = new Map<string, string>();
  for (const [key, value] of Object.entries(tree)) {
    const path = at ? `${at}.${key}` : key;
    if (typeof value === 'string') found.set(path, value);
    else if (typeof value === 'function') found.set(path, (value as (...given: unknown[]) => string)(...Array.from({ length: value.length }, (_, n) => n + 2)));
    else for (const [inner, said] of leaves(value, path)) found.set(inner, said);
  }
  return found;
}

const english = leaves(catalogues.en);

describe.each(Object.entries(catalogues))('words in %s', (_, catalogue) => {
  const these = leaves(catalogue as Tree);
  it('says everything that English says, and nothing more', () => {
    expect([...these.keys()].sort()).toEqual([...english.keys()].sort());
  });
  it('leaves nothing empty and uses every figure it is given', () => {
    for (const [path, said] of these) {
      expect(said.trim(), path).not.toBe('');
      expect(said, path).not.toContain('undefined');
      for (const figure of ['2', '3']) if (english.get(path)?.includes(figure)) expect(said, path).toContain(figure);
    }
  });
  it('says one and many', () => {
    expect(catalogue.play.beats(1)).not.toBe(catalogue.play.beats(3).replace('3', '1'));
  });
});
