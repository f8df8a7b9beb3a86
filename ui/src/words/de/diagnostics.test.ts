import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { diagnosed } from './diagnostics';

/** Where the program says what is wrong with a file. */
const sources = ['file/exercise', 'file/levels', 'file/manner', 'file/reader', 'file/routines', 'exercise/check', 'exercise/rhythm'];

/** The prose in a source: texts of more than one word, a figure in every gap. */
function prose(name: string): string[] {
  const whole = readFileSync(`../crates/routine/src/${name}.rs`, 'utf8');
  const code = (whole.split('#[cfg(test)]')[0] ?? '').replace(/^\s*(\/\/|#\[).*$/gm, '').replace(/^\s*reason = .*$/gm, '');
  return [...code.matchAll(/"((?:[^"\\]|\\.)*)"/gs)]
    .map(([, text]) => (text ?? '').replace(/\\"/g, '"').replace(/\\\s+/g, '').replace(/\{\{/g, '{').replace(/\}\}/g, '}').replace(/\{[\w:.?]*\}/g, '7'))
    // Descriptions in a schema end like sentences; complaints do not.
    .filter((text) => !/[a-z\d]\.$/.test(text))
    .filter((text) => /[a-z]{2,} |^`7` /.test(text));
}

/** The same in German, alone or as what a file should hold. */
const said = (text: string) => diagnosed(text) ?? diagnosed(`expected ${text}, found text`) ?? null;

// What stands inside other sentences, and two that others fill with what is asked for here by itself.
const parts = new Set(['the chromatic scale', '` is missing', 'expected 7, found 7', '`7` is not 7']);

test.each(sources)('every complaint of %s has its German words', (name) => {
  const english = prose(name).filter((text) => !parts.has(text));
  expect(english.length).toBeGreaterThan(0);
  expect(english.filter((text) => said(text) === null)).toEqual([]);
});

test('what stands in a file stays as it is', () => {
  expect(diagnosed('`walz` is not a turn')).toBe('`walz` passt hier nicht; gefragt ist: eine Wende');
  expect(diagnosed('expected a list of degrees, found text')).toBe('erwartet: eine Liste von Stufen; gefunden: Text');
  expect(diagnosed('write 1 to 24')).toBe('1 bis 24 schreiben');
  expect(diagnosed('something nobody says')).toBeNull();
});
