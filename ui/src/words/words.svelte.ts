// The catalogue in the player's language. Every word a person reads comes from here; a key that one language lacks does not compile.
import { de } from './de/index';
import { en } from './en/index';

type Shape<T> = T extends string ? string : T extends (...given: infer A) => string ? (...given: A) => string : { [K in keyof T]: Shape<T[K]> };
export type Words = Shape<typeof en>;

export const catalogues = { en, de } satisfies Record<string, Words>;
export type Language = keyof typeof catalogues;
export const languages: { id: Language; name: string }[] = [
  { id: 'en', name: 'English' },
  { id: 'de', name: 'Deutsch' },
];

const kept = 'waterkey-language';
function first(): Language {
  const asked = localStorage.getItem(kept) ?? navigator.language.slice(0, 2);
  return asked in catalogues ? (asked as Language) : 'en';
}

let current = $state<Language>(first());

/** The words in the language in use. */
export function w(): Words {
  return catalogues[current];
}

export function language(): Language {
  return current;
}

export function speak(next: Language): void {
  current = next;
  localStorage.setItem(kept, next);
  document.documentElement.lang = next;
}

/** A name out of a table for a key that comes from the server; undefined for one the table does not know. */
export function named(table: Record<string, string>, key: string): string | undefined {
  return Object.hasOwn(table, key) ? table[key] : undefined;
}
