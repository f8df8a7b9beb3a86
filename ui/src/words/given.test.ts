import { readdirSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { advice } from './de/advice';
import { catalogue } from './de/catalogue';
import { library } from './de/library';
import { given } from './given';
import { speak } from './words.svelte';

const crates = resolve(process.cwd(), '../crates');
const read = (file: string) => readFileSync(resolve(crates, file), 'utf8');
const files = (folder: string) => readdirSync(resolve(crates, folder)).filter((one) => one.endsWith('.toml')).map((one) => read(`${folder}/${one}`));
/** The one-line strings that stand in TOML under these keys. */
function strings(text: string, ...keys: string[]): string[] {
  const value = '"((?:[^"\\\\]|\\\\.)*)"';
  return keys.flatMap((key) => {
    const lines = [...text.matchAll(new RegExp(`(?:^|[{,] *)${key} = (\\[[^\\]]*\\]|${value})`, 'gm'))];
    return lines.flatMap(([, found = '']) => [...found.matchAll(new RegExp(value, 'g'))].map(([, one = '']) => one.replaceAll('\\"', '"')));
  });
}
/** String literals of Rust source after something; a backslash at a line's end joins lines. */
function literals(source: string, before: RegExp): string[] {
  const text = read(source).split('#[cfg(test)]')[0]?.replace(/\\\n\s*/g, '') ?? '';
  return [...text.matchAll(new RegExp(`(?:${before.source})\\s*"((?:[^"\\\\]|\\\\.)*)"`, 'g'))].map(([, one = '']) => one.replaceAll('\\"', '"'));
}

const texts = [...files('routine/library'), ...files('routine/routines')].flatMap((text) => strings(text, 'title', 'purpose', 'words', 'cautions'));
const levels = strings(read('routine/levels.toml'), 'name');
const named = [...files('horn/instruments').flatMap((text) => strings(text.split('[[stage]]')[0] ?? text, 'name')), ...files('horn/mouthpieces').flatMap((text) => strings(text, 'name'))];

describe('what the program brings along has German words', () => {
  beforeAll(() => speak('de'));

  it.each([
    ['exercises, days, levels and their cautions', library, [...texts, ...levels, ...literals('routine/src/expand/mod.rs', /GENERAL_CAUTION: &str =/)], 140],
    ['instruments, readings and mouthpieces', catalogue, named, 40],
    ['advice', advice, strings(read('studio/src/advice.toml'), 'words'), 20],
  ] as const)('for %s, each and no other', (_, words, asked, least) => {
    const all = [...new Set(asked)].sort();
    expect(all.length).toBeGreaterThanOrEqual(least);
    expect(Object.keys(words).sort()).toEqual(all);
    for (const [english, german] of Object.entries(words)) expect(german.trim(), english).not.toBe('');
  });

  it('for every reason why something was left out', () => {
    const whys = [
      ...literals('routine/src/expand/bounds.rs', /why:|lower_roof\([^"]*,|raise_floor\([^"]*,/),
      ...literals('routine/src/expand/shape.rs', /NO_FINGERING: &str =|outside =|ok_or\(|Some\(|push\(\(\s*[^"]*,/),
      ...literals('routine/src/expand/lines.rs', /Err\(|ok_or\(/),
      ...literals('routine/src/expand/section.rs', /omissions\.line\(start,|omissions\.plain\(|why = format!\(/),
      ...literals('routine/src/class.rs', /left\.line\(row\.start\.clone\(\),|lower_roof\([^"]*,|raise_floor\([^"]*,/),
    ];
    expect(whys.length).toBeGreaterThan(20);
    for (const one of whys.map((each) => each.replace('{minutes:.0}', '6'))) expect(given(one), one).not.toBe(one);
  });

  it('for what the ear says of room and microphone', () => {
    const said = literals('ear/src/room.rs', /push\(|format!\(|Unknown =>/).filter((one) => one.endsWith('.'));
    expect(said.length).toBeGreaterThan(6);
    for (const one of said) {
      const filled = one.replace('{above:.0}', '31').replace('{verdict}', 'quiet enough for every measure').replaceAll('{}', '0.5 ± 0.1');
      expect(given(filled), filled).not.toBe(filled);
    }
  });

  it('for the load of a day, the reasons of fingerings, and what the doctor finds', () => {
    const said = [
      ...literals('studio/src/load.rs', /STOP: &str =|push\(|format!\(/).filter((one) => one.endsWith('.')),
      ...literals('horn/src/ideal/rank.rs', /format!\(/).filter((one) => one.includes('{label}')),
      ...literals('studio/src/store/doctor.rs', /verdict\.note\(|format!\(|\bwhat:|=> /).filter((one) => one.includes(' ')),
    ];
    expect(said.length).toBeGreaterThan(12);
    for (const one of said) {
      const filled = one.replace('{partial}', '4').replace('{label}', '1-2').replace('{off}', '12 cents sharp').replace('{}', '30').replace('{fault}', 'page 3');
      expect(given(filled), filled).not.toBe(filled);
      expect(given(filled), filled).not.toMatch(/cents|sharp/);
    }
    expect(given('alternate: partial 5 on 1-3, 12 cents flat there, true with the slide at 3.25')).toBe('Hilfsgriff: 5. Naturton auf 1-3, dort 12 Cent zu tief, mit dem Zug bei 3,25 stimmt er');
  });

  it('for why a part has the fingering it has', () => {
    const file = 'routine/src/fingering/explain.rs';
    const said = [...literals(file, /format!\(|\w\(|else \{|\{/), ...literals('routine/src/fingering/path.rs', /reason:/)].filter((one) => /\p{L} /u.test(one) && !one.includes('rather than'));
    expect(said.length).toBeGreaterThan(12);
    for (const one of said) {
      // What the program fills in: figures, the slide, the words that stand in its own sentences.
      const moves = ['fewer', 'more'].map((than) => one.replace('{than}', than).replace('{valves}', '2'));
      const filled = one.includes('{than}') ? moves : [one.replace('{reason}, {throw}', 'usual first choice, third slide 5 mm out').replace('{} slide', 'third slide').replace('{word}', 'better').replace('{} {} of slide', 'positions less of slide').replace(/\{further:\.0\}|\{:\.0\}/g, '3')];
      for (const each of filled) expect(given(each), each).not.toBe(each);
    }
    expect(given('1-2 rather than 3: 4 cents truer, one fewer valve move')).toBe('1-2 statt 3: 4 Cent reiner, eine Ventilbewegung weniger');
    expect(given('usual first choice, third valve slide 12 mm out')).toBe('übliche erste Wahl, Zug des 3. Ventils 12 mm ausgezogen');
    expect(given('as true, first valve, F side slide 3 mm out')).toBe('ebenso rein, Zug des 1. Ventils der F-Seite 3 mm ausgezogen');
    expect(given('no extra motion, main slide 3 mm out')).toBe('keine zusätzliche Bewegung, Stimmzug 3 mm ausgezogen');
  });

  it('for what is put together by rule', () => {
    expect(['from B-flat', 'from F-sharp', 'from B, again', 'on 1-2', 'position 3', 'open tube', 'from C (rest)'].map(given)).toEqual([
      'von B', 'von Fis', 'von H, noch einmal', 'auf 1-2', '3. Lage', 'offenes Rohr', 'von C (Pause)',
    ]);
    expect(given('3 lines, from B-flat 4 to C5')).toBe('3 Zeilen, von B4 bis C5');
    expect(given('1 note of the line from on 1-2')).toBe('1 Note der Zeile von auf 1-2');
    expect(given('Harmonic minor: the line from E4')).toBe('Harmonisches Moll: die Zeile von E4');
  });

  it('and a person’s own words stay as they are', () => {
    for (const own of ['My warm-up', 'Warm-up: long', 'from the top', '', 'constructor']) expect(given(own)).toBe(own);
    speak('en');
    expect(given('Harmonic minor')).toBe('Harmonic minor');
  });
});
