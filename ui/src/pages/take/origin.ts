// What a take that was brought in came as, and what was made of its channels, in a sentence.
import type { Take } from '../../server/shapes';
import { figure } from '../../words/figures';
import type { Words } from '../../words/words.svelte';

export function originSaid({ origin, sample_rate }: Take, words: Words): string {
  if (!origin) return '';
  const khz = (rate: number) => figure(rate / 1000, rate % 1000 === 0 ? 0 : 1);
  const channels = (those: (weight: number) => boolean) => origin.weights.flatMap((weight, n) => (those(weight) ? [String(n + 1)] : [])).join(', ');
  const [silent, turned] = [channels((weight) => weight === 0), channels((weight) => weight < 0)];
  return [
    words.take.cameAs(origin.coding.toUpperCase(), khz(origin.sample_rate)),
    origin.channels > 1 ? words.take.folded(String(origin.channels)) : '',
    silent ? words.take.leftOut(silent) : '',
    turned ? words.take.turnedOver(turned) : '',
    sample_rate === origin.sample_rate ? '' : words.take.keptAt(khz(sample_rate)),
  ]
    .filter(Boolean)
    .join(', ');
}
