/** What can be set by hand about a run, wherever it is kept: in a campaign of the book, or in the question itself. */
import type { Span } from './records';

export interface Told {
  by: string;
  why: string;
}
export interface Hand {
  /** Average these stretches and nothing else. */
  stretch(spans: Span[], told: Told): Promise<void>;
  /** Take back what was set by hand: the rule chooses again. */
  rule(told: Told): Promise<void>;
  /** A zero or a clock offset, as text with its unit; null takes it back. */
  set(what: 'zero' | 'offset', place: string, value: string | null, told: Told): Promise<void>;
  /** Leave the run out of the results of its campaign, or take it in again; null where it is in none. */
  leaveOut: ((out: boolean, told: Told) => Promise<void>) | null;
}

/** A stretch as it is typed and kept: seconds of the line's clock. */
export function typed(span: Span): string {
  return `${short(span.start_s)}:${short(span.end_s)}`;
}

export function short(at_s: number): string {
  return String(Number(at_s.toFixed(3)));
}
