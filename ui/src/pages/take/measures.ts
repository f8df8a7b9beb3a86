// How each measure is written: its unit, and whether its sign says something.
import { withInterval } from '../../words/figures';
import { named, type Words } from '../../words/words.svelte';
import type { Measure } from '../../server/report';

interface Written {
  unit: string;
  sign?: boolean;
}
const written: Record<string, Written> = {
  pitch_cents: { unit: 'c', sign: true },
  wander_cents: { unit: 'c' },
  vibrato_hz: { unit: 'Hz' },
  vibrato_cents: { unit: 'c' },
  scoop_cents: { unit: 'c', sign: true },
  attack_ms: { unit: 'ms' },
  slur_ms: { unit: 'ms' },
  dip_db: { unit: 'dB' },
  overshoot_cents: { unit: 'c' },
  release_ms: { unit: 'ms' },
  sag_cents: { unit: 'c', sign: true },
  level_db: { unit: 'dB' },
  level_dba: { unit: 'dB(A)' },
  brightness: { unit: '' },
  noise_db: { unit: 'dB' },
};

export function measureShown(name: string, one: Measure, words: Words): string {
  const how = written[name] ?? { unit: '' };
  if ('why' in one) return named(words.take.whyNot, one.why) ?? one.why;
  const unit = how.unit === 'c' ? words.pitch.cents : how.unit;
  return `${withInterval(one.value, one.uncertainty, how.sign)} ${unit}`.trim();
}
