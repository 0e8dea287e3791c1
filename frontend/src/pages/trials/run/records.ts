/** The records this page shows, as the machine sends them. SI, the unit in the key. */
import type { AnyRecord } from '../../../api/ask';
import type { Measured } from '../../../figures';

export interface Span {
  start_s: number;
  end_s: number;
}
export interface Phase extends Span {
  name: string;
}
export interface Steady extends Span {
  chosen_by: string;
  why: string;
}
export interface Cut extends Span {
  word: string;
}
export interface Reason {
  head: string;
  text: string;
}
export interface Figure {
  name: string;
  label: string;
  text: string;
  value: Measured;
}
export interface Term {
  term: string;
  u: string;
  share: string;
  part: number;
}
export interface Clock {
  channel: string;
  sentence: string;
  found: string;
  offset_s: Measured;
}
export interface Channel {
  cell: string;
  unit_read: string;
  rate_Hz: number;
  n: number;
  gaps: number;
  clock_offset_s: Measured;
  zero_N: Measured | null;
}
export interface TrialResult extends AnyRecord {
  run: string;
  rig: string;
  devices: string[];
  frictionless: number;
  channels: Record<string, Channel>;
  phases: Phase[];
  steady: Steady[];
  mean_N: Record<string, Measured>;
  ratio: Measured;
  advantage: Measured;
  choices: Record<string, string>;
  grade: string;
}
export interface RunView extends AnyRecord {
  campaign: string;
  run: string;
  title: string;
  note: string;
  invented: string;
  number: [number, number];
  previous: string | null;
  next: string | null;
  verdict: '' | 'pass' | 'redo' | 'missing' | 'left_out';
  reasons: string[];
  refusal: string;
  result: TrialResult | null;
  phases: Phase[];
  cuts: Cut[];
  answer: string;
  spread: string;
  figures: Figure[];
  means: Record<string, string>;
  budget: Term[];
  together: string;
  stretch: Reason[];
  by_hand: boolean;
  sensitivity: string;
  clocks: Clock[];
  checks: Reason[];
  decisions: Reason[];
}
export interface ForceTrace {
  exact: boolean;
  time_s: number[];
  low_N: (number | null)[];
  high_N: (number | null)[];
}
export interface Traces extends AnyRecord {
  run: string;
  start_s: number;
  end_s: number;
  from_s: number;
  to_s: number;
  channels: Record<string, { n: number; rate_Hz: number; aligned: ForceTrace; logged: ForceTrace | null }>;
  ratio: { exact: boolean; time_s: number[]; low: (number | null)[]; high: (number | null)[] } | null;
  least_N: number;
  greatest_N: number;
  ratio_range: [number, number] | null;
}
export interface LogRecord extends AnyRecord {
  files: { path: string; sha256: string }[];
  format: Record<string, string>;
  channels: Record<string, Channel>;
  rows: Record<string, number>;
  phases: Phase[];
}
export interface KeptLogs extends AnyRecord {
  key: string;
  logs: { name: string; size: number; sha256: string }[];
}
/** What of a trace is wanted. */
export interface Wanted {
  from_s?: number;
  to_s?: number;
  points: number;
  logged?: boolean;
}
export type Choice = 'stretch' | 'offset' | 'zero' | 'left out';
