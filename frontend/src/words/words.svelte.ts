/** The strings in the reader's words. `t()` in a template follows the choice at once. */
import { settings, type Region } from '../state/settings.svelte';
import { en, type Words } from './en';
import { ofMachine, ofPages, spell, type Variant } from './variants';

const cache = new Map<Region, Words>();

/** The strings of the pages: `t().app.rigs`. */
export function t(): Words {
  const region = settings.words;
  let words = cache.get(region);
  if (!words) {
    words = spoken(en, ofPages(region)) as Words;
    cache.set(region, words);
  }
  return words;
}

// how the same is done on the command line, which stands in a sentence's brackets: a page has a field for it
const OPTIONS = / \(--[^)]*\)/g;

/** A sentence of the machine in the reader's spelling, for one who sees no command line. */
export function said(text: string): string {
  return spell(text.replace(OPTIONS, ''), ofMachine(settings.words));
}

function spoken(entry: unknown, variants: Variant[]): unknown {
  if (typeof entry === 'string') return spell(entry, variants);
  if (typeof entry === 'function') {
    return (...given: unknown[]) => spokenAnswer((entry as (...g: unknown[]) => unknown)(...given), variants);
  }
  if (Array.isArray(entry)) return entry.map((one) => spoken(one, variants));
  if (typeof entry !== 'object' || entry === null) return entry;
  return Object.fromEntries(Object.entries(entry).map(([key, value]) => [key, spoken(value, variants)]));
}

function spokenAnswer(answer: unknown, variants: Variant[]): unknown {
  return typeof answer === 'string' ? spell(answer, variants) : answer;
}

/** A time of day as it is spoken of on a page: 14:03:07. */
export function clock(at: Date | null): string {
  return at?.toLocaleTimeString([], { hour: '2-digit', minute: '2-digit', second: '2-digit', hour12: false }) ?? '';
}

/** A time as it is spoken of on a page: of today by its hour, else with its day. */
export function moment(at: Date | null): string {
  if (!at) return '';
  const today = at.toDateString() === new Date().toDateString();
  return today ? clock(at) : `${at.toLocaleDateString([], { day: 'numeric', month: 'short', year: 'numeric' })}, ${clock(at)}`;
}
