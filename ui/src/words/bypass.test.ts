// No word that a person reads goes past the catalogue: what stands in the templates is looked through.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'svelte/compiler';
import { describe, expect, it } from 'vitest';

/** The parts of a syntax node that are looked at. */
interface Node {
  type?: string;
  name?: unknown;
  data?: unknown;
  value?: unknown;
  expression?: unknown;
  left?: unknown;
  right?: unknown;
  object?: unknown;
  property?: Node;
  callee?: Node;
  fragment?: unknown;
}

/** Attributes that are read out or shown. */
const shown = ['aria-label', 'title', 'alt', 'placeholder', 'label', 'aria-description', 'aria-roledescription'];
/** What is the same in every language: units, signs, names of dynamics and of the program. */
const same = /^(Hz|dB|ms|Pa|kPa|cm|mm|mf|Q|MPa|toml|♩|waterkey|A4|min|LKFS|MusicXML|MIDI|PDF|SVG|WAV|×)$/;
/** Fields in which the program's own English comes: they go through `given`. */
const english = ['title', 'purpose', 'why', 'what', 'reason', 'cautions', 'warnings'];

const words = (text: string) => text.split(/[\s.,:;·/()–−+±%=0-9]+/).filter((one) => /\p{L}{2}/u.test(one) && !same.test(one));

/** Every word in a template that does not come from an expression, and every expression that shows English as it came. */
function past(source: string): string[] {
  const found: string[] = [];
  /** The field that an expression ends in, unless it is one of the catalogue or of a person's own writing. */
  const field = (node: unknown): string => {
    const one = node as Node | null;
    if (one?.type === 'ChainExpression') return field(one.expression);
    if (one?.type === 'LogicalExpression') return field(one.left) || field(one.right);
    if (one?.type !== 'MemberExpression') return '';
    let root = one.object as Node;
    while (root.type === 'MemberExpression' || root.type === 'ChainExpression') root = (root.object ?? root.expression) as Node;
    const from = root.type === 'CallExpression' ? root.callee?.name : root.name;
    return from === 'w' || from === 'lesson' ? '' : String(one.property?.name ?? '');
  };
  const visit = (node: unknown): void => {
    if (Array.isArray(node)) return node.forEach(visit);
    if (typeof node !== 'object' || node === null) return;
    const one = node as Node;
    if (one.type === 'Text') found.push(...words(String(one.data)));
    if (one.type === 'Attribute') {
      if (shown.includes(String(one.name))) visit(one.value);
      return;
    }
    if (one.type === 'StyleDirective') return;
    if (one.type === 'ExpressionTag') {
      const name = field(one.expression);
      if (english.includes(name)) found.push(`{….${name}}`);
      return;
    }
    for (const [key, value] of Object.entries(one)) if (key !== 'parent') visit(value);
  };
  visit((parse(source, { modern: true }) as unknown as Node).fragment);
  return found;
}

describe('every word in a template comes from the catalogue', () => {
  const files = readdirSync('src', { recursive: true, encoding: 'utf8' }).filter((one) => one.endsWith('.svelte'));
  it('finds words, attributes and fields that go past it', () => {
    expect(past('<p>Play it</p><b>{w().play.start} 3 dB</b><input placeholder="Name" class="wide" />{one.title}{given(one.title)}{got?.why ?? ""}')).toEqual(['Play', 'it', 'Name', '{….title}', '{….why}']);
  });
  it.each(files)('%s', (file) => {
    expect(past(readFileSync(join('src', file), 'utf8'))).toEqual([]);
  });
});
