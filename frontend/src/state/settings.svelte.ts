/** What the reader chose: unit of force, light, spelling of words, which book. Kept on this device. */
import { FORCE_UNITS, type ForceUnit } from '../figures';

export type Light = 'paper' | 'sun' | 'night';
export type Region = 'AU' | 'UK' | 'US';
export type Book = 'own' | 'demo';
export const LIGHTS: readonly Light[] = ['paper', 'sun', 'night'];
export const REGIONS: readonly Region[] = ['AU', 'UK', 'US'];
const KEY = 'haulwright.settings';

class Settings {
  units = $state<ForceUnit>('kN');
  light = $state<Light>('paper');
  words = $state<Region>('AU');
  book = $state<Book>('own');

  constructor() {
    const kept = read();
    if (FORCE_UNITS.includes(kept.units as ForceUnit)) this.units = kept.units as ForceUnit;
    if (LIGHTS.includes(kept.light as Light)) this.light = kept.light as Light;
    if (REGIONS.includes(kept.words as Region)) this.words = kept.words as Region;
    if (kept.book === 'demo') this.book = 'demo';
  }

  keep(): void {
    const { units, light, words, book } = this;
    try {
      localStorage.setItem(KEY, JSON.stringify({ units, light, words, book }));
    } catch {
      // a browser that keeps nothing still shows everything
    }
  }
}

function read(): Record<string, unknown> {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(KEY) ?? '{}');
    return typeof kept === 'object' && kept !== null ? (kept as Record<string, unknown>) : {};
  } catch {
    return {};
  }
}

export const settings = new Settings();
