import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import openapiTS, { astToString, COMMENT_HEADER } from 'openapi-typescript';
import { expect, it } from 'vitest';

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));

it('the types are made from the description that lies here: else run `npm run types`', async () => {
  const description = JSON.parse(readFileSync(here('../../openapi.json'), 'utf8')) as Parameters<typeof openapiTS>[0];
  const made = COMMENT_HEADER + astToString(await openapiTS(description));
  expect(readFileSync(here('./schema.d.ts'), 'utf8')).toBe(made);
}, 60_000);
