// A failure in the player's words.
import { named, type Words } from '../words/words.svelte';
import type { Failure } from './failure';

export function failureSaid(failure: Failure, words: Words): string {
  return named(words.failure, failure.code) ?? words.failure.unexpected;
}
