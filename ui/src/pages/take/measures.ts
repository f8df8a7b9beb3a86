// How each measure is written: its unit and its decimals.
import { figure, signed } from '../../words/figures';
import { named, type Words } from '../../words/words.svelte';
import type { Measure } from '../../server/report';

interface Written {
  unit: string;
  digits: number;
  sign?: boolean;
}
const written: Record<string, Written> = {
  pitch_cents: { unit: 'c', digits: 1, sign: true },
  wander_cents: { unit: 'c', digits: 1 },
  vibrato_hz: { unit: 'Hz', digits: 1 },
  vibrato_cents: { unit: 'c', digits: 1 },
  scoop_cents: { unit: 'c', digits: 0, sign: true },
  attack_ms: { unit: 'ms', digits: 0 },
  slur_ms: { unit: 'ms', digits: 0 },
  dip_db: { unit: 'dB', digits: 1 },
  overshoot_cents: { unit: 'c', digits: 0 },
  release_ms: { unit: 'ms', digits: 0 },
  sag_cents: { unit: 'c', digits: 1, sign: true },
  level_db: { unit: 'dB', digits: 1 },
  level_dba: { unit: 'dB(A)', digits: 1 },
  brightness: { unit: '', digits: 2 },
  noise_db: { unit: 'dB', digits: 1 },
};

export function measureShown(name: string, one: Measure, words: Words): string {
  const how = written[name] ?? { unit: '', digits: 1 };
  if ('why' in one) return named(words.take.whyNot, one.why) ?? one.why;
  const value = how.sign ? signed(one.value, how.digits) : figure(one.value, how.digits);
  const unit = how.unit === 'c' ? words.pitch.cents : how.unit;
  return `${words.take.uncertain(value, figure(one.uncertainty, how.digits))} ${unit}`.trim();
}
