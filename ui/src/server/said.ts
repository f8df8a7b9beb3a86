// A failure in the player's words.
import type { Words } from '../words/words.svelte';
import type { Failure } from './failure';

export function failureSaid(failure: Failure, words: Words): string {
  const said: Record<string, string> = {
    unreachable: words.failure.unreachable,
    busy: words.failure.busy,
    'too-many-requests': words.failure.tooMany,
    'disk-full': words.failure.diskFull,
    'not-built': words.failure.notBuilt,
    'not-found': words.failure.notFound,
    unauthorized: words.failure.unauthorized,
  };
  return said[failure.code] ?? (failure.detail || words.failure.unexpected);
}
