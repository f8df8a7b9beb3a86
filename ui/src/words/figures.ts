// Figures as a person reads them: signs, places and units, in the language in use.
import { language, type Words } from './words.svelte';

const made = new Map<string, Intl.NumberFormat>();
function format(digits: number): Intl.NumberFormat {
  const key = `${language()}${digits}`;
  let one = made.get(key);
  if (!one) {
    one = new Intl.NumberFormat(language(), { minimumFractionDigits: digits, maximumFractionDigits: digits });
    made.set(key, one);
  }
  return one;
}

/** A number with a set count of decimals, no minus before a zero; a dash when there is none. */
export function figure(value: number | null | undefined, digits = 0): string {
  return value === null || value === undefined || !Number.isFinite(value) ? '–' : format(digits).format(value).replace(/^-(?=[0.,]+$)/, '').replace('-', '−');
}

/** Half of a 95 % interval is this many standard uncertainties; the report says the same. */
const half_interval = 1.96;
/** Decimals that half an interval is worth. */
const worth = (half: number) => (half < 0.095 ? 2 : half < 2 ? 1 : 0);

/** A value and half its 95 % interval, apart: both with the decimals that the interval is worth. */
export function intervalOf(value: number, uncertainty: number, sign = false): { value: string; half: string } {
  const half = half_interval * uncertainty;
  const digits = worth(half);
  return { value: sign ? signed(value, digits) : figure(value, digits), half: figure(half, digits) };
}

/** The same in one, such as `3.4 ± 0.2`. */
export function withInterval(value: number | null, uncertainty: number | null, sign = false): string {
  if (value === null || uncertainty === null) return figure(null);
  const { value: shown, half } = intervalOf(value, uncertainty, sign);
  return `${shown} ± ${half}`;
}

/** A count, with half its 95 % interval where that reaches to another count. */
export function countWithInterval(count: number, uncertainty: number): string {
  const half = Math.round(half_interval * uncertainty);
  return half < 1 ? figure(count) : `${figure(count)} ± ${figure(half)}`;
}

/** Pitches nearer than this are not called flat or sharp, cents: what trained listeners can just tell. */
const told_cents = 5;

/** How far off a heard pitch must be to be called flat or sharp: what can be told, and beyond its interval. */
export function bandOf(uncertainty: number | null = null): number {
  return Math.max(told_cents, half_interval * (uncertainty ?? 0));
}

/** With its sign written out; the minus is a real one. */
export function signed(value: number | null | undefined, digits = 0): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–';
  const rounded = Number(value.toFixed(digits));
  return `${rounded > 0 ? '+' : rounded < 0 ? '−' : '±'}${format(digits).format(Math.abs(rounded))}`;
}

/** How far off a pitch is, in words; within the band it is true. */
export function centsSaid(cents: number, words: Words, band = 0.5): string {
  if (Math.abs(cents) <= band) return words.pitch.true;
  const size = figure(Math.abs(cents));
  return cents < 0 ? words.pitch.flat(size) : words.pitch.sharp(size);
}

/** Seconds as `3:07`. */
export function clock(seconds: number): string {
  const whole = Math.max(0, Math.round(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`;
}

/** Seconds as `0:03.4` (in German `0:03,4`), for places within a take. */
export function place(seconds: number): string {
  const tenths = Math.max(0, Math.round(seconds * 10));
  const rest = format(1).format((tenths % 600) / 10);
  return `${Math.floor(tenths / 600)}:${rest.padStart(4, '0')}`;
}

export function dayOf(ms: number): string {
  return new Intl.DateTimeFormat(language(), { weekday: 'short', day: 'numeric', month: 'short' }).format(ms);
}

export function momentOf(ms: number): string {
  return new Intl.DateTimeFormat(language(), { day: 'numeric', month: 'short', hour: '2-digit', minute: '2-digit' }).format(ms);
}

/** The local day as the server takes it: `2026-11-25`. */
export function dayKey(ms: number): string {
  const at = new Date(ms);
  return `${at.getFullYear()}-${String(at.getMonth() + 1).padStart(2, '0')}-${String(at.getDate()).padStart(2, '0')}`;
}
