import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { heard } from './de/heard';
import { catalogues } from './words.svelte';

const source = (file: string) => readFileSync(resolve(process.cwd(), '../crates', file), 'utf8');

/** The variants of an enum in the program's source, as it writes them in JSON. */
function variants(file: string, name: string): string[] {
  const body = new RegExp(`enum ${name} \\{\\n([\\s\\S]*?)\\n\\}`).exec(source(file))?.[1] ?? '';
  const named = [...body.matchAll(/^ {4}([A-Z]\w*)/gm)].map((found) => found[1] ?? '');
  return named.map((one) => one.replace(/(?!^)[A-Z]/g, '-$&').toLowerCase()).sort();
}

describe('what the program tells by kind has words', () => {
  it('for every finding, verdict and fault of a take, in German', () => {
    expect(Object.keys(heard.findings).sort()).toEqual(variants('ear/src/findings.rs', 'FindingKind'));
    // These two say that all is well, and are not shown.
    const verdicts = variants('ear/src/verdict.rs', 'VerdictKind').filter((kind) => !['as-asked', 'free'].includes(kind));
    expect(Object.keys(heard.verdicts).sort()).toEqual(verdicts);
    expect(Object.keys(heard.faults).sort()).toEqual(variants('ear/src/input/faults.rs', 'FaultKind'));
  });
  it.each(Object.entries(catalogues))('for every refusal of the server, in %s', (_, words) => {
    const codes = variants('waterkey/src/server/problem.rs', 'Code');
    expect(codes.length).toBeGreaterThan(15);
    expect(Object.keys(words.failure)).toEqual(expect.arrayContaining(codes));
  });
  it('for every skill, zone and unit of progress', () => {
    const skills = [...source('studio/src/progress.rs').matchAll(/skill\("(\w+)", "([^"]+)"/g)];
    expect(skills.length).toBe(9);
    for (const [, skill = '', unit = ''] of skills) {
      expect(catalogues.de.player.skills).toHaveProperty(skill);
      expect(Object.keys(catalogues.de.player.units)).toContain(unit);
    }
  });
});
