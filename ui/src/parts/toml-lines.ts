// Reads and sets single values at the top of a TOML text, leaving every comment and every other character as it is.

interface Found {
  line: number;
  raw: string;
  comment: string;
}

/** Splits a value from a comment after it; null when the value goes on over the line's end. */
function valueAndComment(rest: string): { raw: string; comment: string } | null {
  let quote = '';
  let depth = 0;
  for (let at = 0; at < rest.length; at++) {
    const sign = rest[at] ?? '';
    if (quote) {
      if (sign === '\\' && quote === '"') at++;
      else if (sign === quote) quote = '';
    } else if (rest.startsWith('"""', at) || rest.startsWith("'''", at)) return null;
    else if (sign === '"' || sign === "'") quote = sign;
    else if (sign === '[' || sign === '{') depth++;
    else if (sign === ']' || sign === '}') depth--;
    else if (sign === '#') {
      const raw = rest.slice(0, at);
      return depth === 0 ? { raw: raw.trim(), comment: raw.slice(raw.trimEnd().length) + rest.slice(at) } : null;
    }
  }
  return depth === 0 && quote === '' ? { raw: rest.trim(), comment: '' } : null;
}

function find(lines: string[], key: string): Found | null {
  const start = new RegExp(`^\\s*${key}\\s*=\\s*(.*)$`);
  for (const [line, text] of lines.entries()) {
    if (/^\s*\[/.test(text)) return null;
    const found = start.exec(text);
    if (!found) continue;
    const parts = valueAndComment(found[1] ?? '');
    return parts ? { line, ...parts } : null;
  }
  return null;
}

/** The value of a top-level key as TOML writes it; null when it is absent, a table or longer than a line. */
export function rawValue(text: string, key: string): string | null {
  return find(text.split('\n'), key)?.raw ?? null;
}

/** A key that stands in the text in a form that a single field can't hold. */
export function standsElsewhere(text: string, key: string): boolean {
  return rawValue(text, key) === null && new RegExp(`^\\s*(${key}\\s*=|\\[+${key}[.\\]])`, 'm').test(text);
}

/** A string without its quotes; anything else as it is. */
export function bare(raw: string): string {
  if (/^".*"$/.test(raw)) {
    try {
      return JSON.parse(raw) as string;
    } catch {
      return raw.slice(1, -1);
    }
  }
  return /^'.*'$/.test(raw) ? raw.slice(1, -1) : raw;
}

export function quoted(text: string): string {
  return JSON.stringify(text);
}

/** Sets, adds or (raw = '') removes a top-level value. */
export function withValue(text: string, key: string, raw: string): string {
  const lines = text.split('\n');
  const found = find(lines, key);
  if (found) {
    if (raw === '') lines.splice(found.line, 1);
    else lines[found.line] = `${key} = ${raw}${found.comment}`;
    return lines.join('\n');
  }
  if (raw === '' || standsElsewhere(text, key)) return text;
  const table = lines.findIndex((line) => /^\s*\[/.test(line));
  let at = table < 0 ? lines.length : table;
  while (at > 0 && (lines[at - 1] ?? '').trim() === '') at--;
  lines.splice(at, 0, `${key} = ${raw}`);
  return lines.join('\n');
}
