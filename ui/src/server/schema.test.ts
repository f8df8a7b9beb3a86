import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';

it('the types are made from the description that lies here: else run `npm run types`', () => {
  const made = execFileSync('node_modules/.bin/openapi-typescript', ['openapi.json'], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] });
  expect(made.trim()).toBe(readFileSync('src/server/schema.d.ts', 'utf8').trim());
}, 60_000);
