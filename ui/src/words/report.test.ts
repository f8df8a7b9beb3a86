import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Report } from '../server/report';
import { piece, reportSaid } from './report';
import { speak } from './words.svelte';

const source = (file: string) => readFileSync(resolve(process.cwd(), '../crates/ear/src', file), 'utf8').replace(/\\\n\s*/g, '');
/** String literals of the code that writes the page, quotes and gaps put back. */
const literals = (file: string) => [...source(`report/${file}`).matchAll(/"((?:[^"\\]|\\.)*)"/g)].map(([, text = '']) => text.replaceAll('\\"', '"').replaceAll('\\n', '\n').replaceAll('\\u{2212}', '−'));
/** Words that stand between tags in a literal, without gaps to fill. */
const between = (text: string) => (text.includes('<') ? [...text.matchAll(/>([^<>{}]*\p{L}{2}[^<>{}]*)(?=<)/gu)].map(([, words = '']) => words.trim()) : []);

describe('the report as a page, in German', () => {
  beforeAll(() => speak('de'));

  it('has words for everything that stands in the page by itself', () => {
    const files = ['html.rs', 'html/tables.rs', 'html/chart.rs'];
    const inTags = files.flatMap((file) => literals(file).flatMap(between));
    const heads = literals('html/tables.rs').filter((one) => /^[a-z][a-zA-Z ]+$/.test(one) && !['ms', 'dB'].includes(one));
    const tiles = literals('html.rs').filter((one) => /^[A-Z][a-z]+(?: [a-z]+)*$/.test(one));
    const all = [...new Set([...inTags, ...heads, ...tiles])].filter((one) => !['another note', 'dB apart', 'ms'].includes(one));
    expect(all.length).toBeGreaterThan(35);
    expect(all.filter((one) => piece(one) === one)).toEqual([]);
  });

  it('has words for why a measure could not be made', () => {
    const whys = [...source('measured.rs').matchAll(/#\[error\("([^"]+)"\)\]/g)].map(([, why = '']) => why);
    expect(whys.length).toBe(11);
    for (const why of whys) expect(piece(`partial 5, not measured: ${why}`)).toMatch(/^5\. Naturton, nicht gemessen: (?!the|there)/);
  });

  it.each([
    ['16 of 18', '16 von 18'],
    ['1 wrong, 2 missing, 0 extra', '1 falsch, 2 fehlen, 0 zu viel'],
    ['0:03.4 to 0:11.0', '0:03,4 bis 0:11,0'],
    ['from B-flat, time 2', 'von B, 2. Mal'],
    ['▼ −11.2 ± 2.0', '▼ −11,2 ± 2,0'],
    ['± 0.4 cents', '± 0,4 Cent'],
    ['Bb4 to F#5', 'B4 zu Fis5'],
    ['not B3', 'nicht H3'],
    ['partial 5, 24 ± 10 ms; partial 6, 31.5 ± 2.0 ms', '5. Naturton, 24 ± 10 ms; 6. Naturton, 31,5 ± 2,0 ms'],
    ['C6 in 3 lines: sound 2.1 ± 0.4 dB apart, level 1.0 ± 0.2 dB, pitch not measured: there are too few notes.', 'C6 in 3 Zeilen: Klang 2,1 ± 0,4 dB auseinander, Pegel 1,0 ± 0,2 dB, Tonhöhe nicht gemessen: zu wenige Töne.'],
    ['Notes of line from F-sharp', 'Töne der Zeile von Fis'],
    ['The take is what was asked for: 44 of 45 notes of the lines played. It stops after 3 of the 9 notes of its last line.', 'Die Aufnahme ist, was verlangt war: 44 von 45 Tönen der gespielten Zeilen. Sie hört nach 3 der 9 Töne ihrer letzten Zeile auf.'],
    ['Nadia', 'Nadia'],
  ])('%s', (english, german) => expect(piece(english)).toBe(german));

  it('puts the words in their places and leaves the rest of the page alone', () => {
    const report = { verdict: { kind: 'as-asked', trusted: true, words: 'The take is what was asked for: 2 of 2 notes of the lines played.' }, faults: [], lines: [], findings: [{ kind: 'flat', words: 'C4 is flat by 9.0 ± 2.0 cents.', line: null, notes: [], value: -9, uncertainty: 1, unit: 'cents', weight: 1, evidence: [] }] } as unknown as Report;
    const page = '<!doctype html>\n<html lang="en"><head><style>.note { color: red }</style></head><body><h2>What stands out</h2><ol><li>C4 is flat by 9.0 ± 2.0 cents.</li></ol><p>&lt;b&gt; by Take</p><div aria-label="Slurs"></div></body></html>';
    expect(reportSaid(page, report)).toBe(
      '<!doctype html>\n<html lang="de"><head><style>.note { color: red }</style></head><body><h2>Was auffällt</h2><ol><li>Zu tief, 9,0 ± 2,0 Cent.</li></ol><p>&lt;b&gt; by Take</p><div aria-label="Bindungen"></div></body></html>',
    );
    speak('en');
    expect(reportSaid(page, report)).toBe(page);
    speak('de');
  });
});
