/** Where things stand on the trace: ticks, words of a time, series laid on one row of instants. Pixels, no results. */
import uPlot from 'uplot';
import { number, seconds } from '../../../figures';
import type { Span, Traces } from './records';

const FIXED = '\u00a0';
const STEPS_S = [0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200];

/** The step of the time axis that leaves at most `room` steps. */
export function timeStep(span_s: number, room: number): number {
  return STEPS_S.find((step) => span_s / step <= room) ?? 7200;
}

/** The words of a tick: `2 min`, `2 min 30 s`, `20 s`, `0`. */
export function timeWords(at_s: number, step_s: number): string {
  const decimals = step_s < 1 ? 1 : 0;
  if (Math.abs(at_s) < 1e-9) return '0';
  const sign = at_s < 0 ? '−' : '';
  const size = Math.abs(at_s);
  const minutes = Math.floor(size / 60 + 1e-9);
  const rest = size - 60 * minutes;
  if (step_s >= 60 || (minutes > 0 && rest < 1e-6)) return `${sign}${number(minutes)}${FIXED}min`;
  if (minutes === 0) return `${sign}${number(rest, decimals)}${FIXED}s`;
  return `${sign}${number(minutes)}${FIXED}min ${number(rest, decimals)}${FIXED}s`;
}

/** A time as it is set by hand, whole seconds or tenths; one that the rule found is no finer than a second. */
export function handWords(at_s: number): string {
  const tenths = Number.isInteger(Number((10 * at_s).toFixed(6)));
  return tenths && !Number.isInteger(at_s) ? `${number(at_s, 1)}${FIXED}s` : seconds(Math.abs(at_s) < 10 ? Math.round(at_s) : at_s);
}

/** Round ticks between two ends, at most `most` of them. */
export function ticks(low: number, high: number, most: number): number[] {
  const raw = (high - low) / Math.max(1, most);
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = power * ([1, 2, 5, 10].find((one) => one * power >= raw * 0.999) ?? 10);
  const found: number[] = [];
  for (let n = Math.ceil(low / step - 1e-9); n * step <= high + 1e-9 * step; n += 1) found.push(n * step || 0);
  return found;
}

interface Line {
  exact: boolean;
  time_s: number[];
  low: (number | null)[];
  high: (number | null)[];
}

/** A trace as points to join by a line: every reading, or the least and greatest of each bucket one after the other. */
export function points(line: Line): [number[], (number | null)[]] {
  if (line.exact) return [line.time_s, line.low];
  const x: number[] = [];
  const y: (number | null)[] = [];
  line.time_s.forEach((at, n) => {
    const low = line.low[n] ?? null;
    const high = line.high[n] ?? null;
    const before = line.time_s[n - 1];
    if (low === null || high === null) {
      x.push(Math.max(at, (x.at(-1) ?? at) + 1e-6));
      y.push(null);
      return;
    }
    // the two stand a hair apart, so that no instant comes twice
    const next = Math.max(at, (x.at(-1) ?? -Infinity) + 1e-6);
    x.push(next, next + (before === undefined ? 1e-4 : Math.max(1e-6, 0.2 * (at - before))));
    y.push(low, high);
  });
  return [x, y];
}

/** The forces on one row of instants, in the order of `places`; each divided by `unit_N`. */
export function forceTable(traces: Traces, places: readonly string[], unit_N: number): uPlot.AlignedData {
  const tables = places.map((place) => {
    const one = traces.channels[place]?.aligned ?? { exact: true, time_s: [], low_N: [], high_N: [] };
    const [x, y] = points({ exact: one.exact, time_s: one.time_s, low: one.low_N, high: one.high_N });
    return [x, y.map((force) => (force === null ? null : force / unit_N))] as uPlot.AlignedData;
  });
  return tables.length === 1 && tables[0] ? tables[0] : uPlot.join(tables);
}

export function ratioTable(traces: Traces): uPlot.AlignedData {
  if (!traces.ratio) return [[], []];
  return points(traces.ratio) as uPlot.AlignedData;
}

/** Stretches between two ends, less one that is left out: what is averaged when a handle stands where it stands. */
export function within(spans: readonly Span[], start_s: number, end_s: number, out: Span | null): Span[] {
  const ordered = [...spans].sort((a, b) => a.start_s - b.start_s);
  const first = ordered[0];
  const last = ordered.at(-1);
  if (!first || !last) return out ? without([{ start_s, end_s }], out) : [{ start_s, end_s }];
  const kept = ordered
    .map((one) => ({
      start_s: one === first ? start_s : Math.max(one.start_s, start_s),
      end_s: one === last ? end_s : Math.min(one.end_s, end_s),
    }))
    .filter((one) => one.end_s > one.start_s);
  return out ? without(kept, out) : kept;
}

function without(spans: readonly Span[], out: Span): Span[] {
  return spans
    .flatMap((one) => [
      { start_s: one.start_s, end_s: Math.min(one.end_s, out.start_s) },
      { start_s: Math.max(one.start_s, out.end_s), end_s: one.end_s },
    ])
    .filter((one) => one.end_s > one.start_s);
}

/** What lies between stretches. */
export function between(spans: readonly Span[]): Span[] {
  const ordered = [...spans].sort((a, b) => a.start_s - b.start_s);
  return ordered.slice(1).map((one, n) => ({ start_s: ordered[n]?.end_s ?? one.start_s, end_s: one.start_s }));
}
