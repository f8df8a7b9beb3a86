// How a take went, in a few words, out of the figures that the server keeps for lists.
import type { Take } from '../server/shapes';
import type { Words } from '../words/words.svelte';

const count = (value: unknown): number | null => (typeof value === 'number' && Number.isFinite(value) ? value : null);

export function resultOf(take: Take, words: Words): string {
  if (!take.heard || !take.summary) return words.take.notYet;
  if (take.summary['trusted'] === false) return words.take.notTold;
  const [asked, as_asked] = [count(take.summary['asked']), count(take.summary['as_asked'])];
  if (asked === null || as_asked === null || asked === 0) return words.take.heardFreely;
  return words.take.counted(as_asked, asked);
}
