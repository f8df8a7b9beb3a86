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

/** A number with a set count of decimals; a dash when there is none. */
export function figure(value: number | null | undefined, digits = 0): string {
  return value === null || value === undefined || !Number.isFinite(value) ? '–' : format(digits).format(value).replace('-', '−');
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

/** Seconds as `0:03.4`, for places within a take. */
export function place(seconds: number): string {
  const tenths = Math.max(0, Math.round(seconds * 10));
  return `${Math.floor(tenths / 600)}:${String(Math.floor(tenths / 10) % 60).padStart(2, '0')}.${tenths % 10}`;
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
