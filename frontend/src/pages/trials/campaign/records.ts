/** The records these pages show, as docs/records.md has them. */
import type { AnyRecord } from '../../../api/ask';
import type { Measured } from '../../../figures';

export type Verdict = 'pass' | 'redo' | 'missing' | 'left_out';
export type Place = 'line' | 'anchor' | 'both';

export interface ShownTable {
  caption: string;
  head: string[];
  rows: string[][];
  words: number;
  same: string;
}
export interface ShownConfiguration {
  devices: string[];
  words: string;
  n: number;
  runs: string[];
  advantage: Measured;
  winch_share: Measured;
  rig_efficiency: Measured;
  text: Record<'advantage' | 'advantage_answer' | 'winch_share' | 'winch_share_answer' | 'rig_efficiency', string>;
}
export interface ShownRig {
  rig: string;
  frictionless: number;
  frictionless_share: number;
  sentence: string;
  configurations: ShownConfiguration[];
}
export interface ShownDevice {
  device: string;
  what: string;
  k: Measured;
  efficiency: Measured;
  valid_N: [number, number] | null;
  text: Record<'k' | 'efficiency' | 'efficiency_answer' | 'valid', string>;
  with_load: string;
  usable: boolean;
}
export interface ShownComparison {
  rig: string;
  a: string;
  b: string;
  verdict: string;
  word: string;
  sentence: string;
  evidence: string;
  runs_needed: number;
  ratio: Measured;
}
export interface ShownRun {
  run: string;
  rig: string;
  devices: string[];
  words: string;
  verdict: Verdict;
  reasons: string[];
  grade: string;
  advantage: Measured | null;
  frictionless: number | null;
  text: Partial<Record<'advantage' | 'line' | 'anchor' | 'moved', string>>;
  stretch: string;
  sensitivity: string;
}
export interface Overview extends AnyRecord {
  name: string;
  title: string;
  invented: string;
  sentences: string[];
  basis: string;
  rigs: ShownRig[];
  devices: ShownDevice[];
  comparisons: ShownComparison[];
  margin: number;
  runs: ShownRun[];
  counts: Record<Verdict, number>;
  unmatched: string[];
  tables: Partial<Record<'configurations' | 'cells' | 'checks' | 'readings' | 'predictions' | 'conditions' | 'heat' | 'budget', ShownTable>>;
  levels: ShownTable[];
  of_cells: string[];
  day: string[];
  predicted: string;
  not_tested: string;
  about: [string, string][];
}

export interface RunVerdict {
  run: string;
  verdict: Verdict;
  reasons: string[];
  advantage: Measured | null;
  rig: string;
  devices: string[];
  logs: { place: string; log: string; there: boolean }[];
  row: Record<string, string>;
}
export interface Check extends AnyRecord {
  name: string;
  runs: RunVerdict[];
  unmatched: string[];
  next: string | null;
  counts: Record<Verdict, number>;
}

export interface Design extends AnyRecord {
  seed: number;
  repeats: number;
  runs: { run: string; rig: string; devices: string[]; repeat: number; block: number; role: 'test' | 'series' }[];
  devices: Record<string, { k: number; u: number | null; half95: number | null }>;
  pulls: {
    scatter: number;
    difference: number;
    margin: number;
    to_differ: number;
    to_equal: number;
    power_difference: number;
    power_equivalent: number;
  };
}

export interface Prediction extends AnyRecord {
  rig: string;
  sentence: string;
  devices: string[];
  load_N: number | null;
  frictionless: number;
  advantage: Measured;
  winch_share: Measured;
  advantage_one_pull: Measured;
  winch_share_one_pull: Measured;
  effort_N: Measured | null;
  friction: Record<string, { inside: boolean | null; valid_N: [number, number] | null; haul_N: [number, number] | null }>;
  tested: unknown;
}

export interface Spec {
  name: string;
  invented?: boolean;
  margin?: string | number;
  cells: Record<string, Record<string, string | number>>;
  devices?: Record<string, Record<string, string | number>>;
  ropes?: Record<string, Record<string, string | number>>;
  site?: Record<string, string>;
  report?: Record<string, string>;
  [more: string]: unknown;
}
export interface BookDocument extends AnyRecord {
  document: string;
  name: string;
  version: number;
  versions: { version: number; at: string; by: string; why: string }[];
  files: { path: string; sha256: string; size: number }[];
  content: Spec | null;
  text: string | null;
}
export interface Documents extends AnyRecord {
  documents: { kind: string; name: string; version: number; changed_at: string; by: string; files: number; invented?: boolean }[];
}

/** Where a campaign answers. */
export const at = (name: string, ...rest: string[]): string =>
  ['/api/campaigns', name, ...rest].map((part, i) => (i ? encodeURIComponent(part) : part)).join('/');
/** Where a document of the book answers. */
export const inBook = (kind: string, name: string, more = ''): string =>
  `/api/book/documents/${kind}/${encodeURIComponent(name)}${more}`;

/** A figure as printed, in two: the value, and its uncertainty or the ends of its interval. */
export function halves(text: string): [string, string] {
  const cut = text.search(/ ± | \(/);
  return cut < 0 ? [text, ''] : [text.slice(0, cut), text.slice(cut + 1)];
}
