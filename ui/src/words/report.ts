// The report as one page, in the language in use. The program writes it in English; here its words are put in their place.
import type { Report } from '../server/report';
import * as de from './de/report';
import { given } from './given';
import { faultSaid, findingSaid, verdictSaid } from './heard';
import { pitchName, spelled } from './pitch';
import { language, type Language } from './words.svelte';

interface ReportWords {
  phrases: Record<string, string>;
  patterns: [RegExp, (given: (text: string) => string, ...found: string[]) => string][];
  /** Partials that were caught, as a table tells them. */
  partials: (text: string) => string;
  /** A figure with its unit, as the language writes it. */
  value: (text: string) => string;
}
const own: Partial<Record<Language, ReportWords>> = { de };

/** A figure, its interval, its unit, its arrow: no words. */
const figures = /^[▼▲+−±\d. ]+(?:(?: cents| ms| dB| dB apart| LKFS| dB\(A\))?)$/;

/** One piece of the page's text; as it is where there are no words for it. */
export function piece(text: string, said: Map<string, string> = new Map()): string {
  const words = own[language()];
  if (!words) return text;
  const whole = said.get(text);
  if (whole !== undefined) return whole;
  if (Object.hasOwn(words.phrases, text)) return words.phrases[text] ?? text;
  if (/^partial \d+, /.test(text)) return words.partials(text);
  for (const [is, say] of words.patterns) {
    const found = is.exec(text);
    if (found) return say(given, ...found.slice(1));
  }
  if (spelled(text)) return pitchName(text);
  return figures.test(text) ? words.value(text) : given(text);
}

/** The page of a report, its words in the language in use. */
export function reportSaid(html: string, report: Report): string {
  if (!own[language()]) return html;
  const said = new Map<string, string>([[report.verdict.words, verdictSaid(report.verdict)]]);
  for (const one of report.findings) said.set(one.words, findingSaid(one, report));
  for (const one of report.faults) said.set(one.words ?? '', faultSaid(one));
  const page = new DOMParser().parseFromString(html, 'text/html');
  page.documentElement.lang = language();
  const within = (text: string) => {
    const bare = text.trim();
    return bare ? text.replace(bare, () => piece(bare, said)) : text;
  };
  const texts = page.createTreeWalker(page.documentElement, NodeFilter.SHOW_TEXT);
  for (let node = texts.nextNode(); node; node = texts.nextNode()) {
    if (!['STYLE', 'SCRIPT'].includes(node.parentElement?.tagName ?? '')) node.nodeValue = within(node.nodeValue ?? '');
  }
  for (const one of page.querySelectorAll('[aria-label]')) one.setAttribute('aria-label', within(one.getAttribute('aria-label') ?? ''));
  return `<!doctype html>\n${page.documentElement.outerHTML}`;
}
