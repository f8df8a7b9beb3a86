// Words that come with the program's own files or that its rules put together: titles, purposes, names, reasons.
// The program writes English; other languages say it here. A person's own words stay as they are.
import { advice } from './de/advice';
import { catalogue } from './de/catalogue';
import { diagnosed } from './de/diagnostics';
import { library } from './de/library';
import { ruled } from './de/rules';
import { language, type Language } from './words.svelte';

interface Given {
  words: Record<string, string>;
  ruled: (text: string) => string | null;
}
export const languages: Partial<Record<Language, Given>> = {
  de: { words: { ...library, ...catalogue, ...advice }, ruled },
};

/** In the language in use, for what the program has words for; else as it is. */
export function given(text: string): string {
  const own = languages[language()];
  if (!own) return text;
  return (Object.hasOwn(own.words, text) ? own.words[text] : own.ruled(text)) ?? text;
}

/** What is wrong with a file, or what to do, in the language in use; `null` where only the program's own words tell. */
export function complaint(text: string): string | null {
  return language() === 'de' ? diagnosed(text) : null;
}
