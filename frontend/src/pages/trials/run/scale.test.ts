import { describe, expect, it } from 'vitest';
import { LookCloser, Window } from './look_closer';
import type { Traces } from './records';
import { between, forceTable, handWords, points, ticks, timeStep, timeWords, within } from './scale';

describe('stretches', () => {
  const two = [
    { start_s: 118, end_s: 203 },
    { start_s: 219, end_s: 311 },
  ];
  it('follow a handle, and keep what was left out', () => {
    expect(within(two, 130, 300, null)).toEqual([
      { start_s: 130, end_s: 203 },
      { start_s: 219, end_s: 300 },
    ]);
    expect(within(two, 100, 320, null)[0]?.start_s).toBe(100);
  });
  it('lose one that a handle has passed', () => {
    expect(within(two, 230, 300, null)).toEqual([{ start_s: 230, end_s: 300 }]);
  });
  it('are parted by what is left out', () => {
    const parted = within([{ start_s: 10, end_s: 90 }], 10, 90, { start_s: 40, end_s: 50 });
    expect(parted).toEqual([
      { start_s: 10, end_s: 40 },
      { start_s: 50, end_s: 90 },
    ]);
    expect(between(parted)).toEqual([{ start_s: 40, end_s: 50 }]);
  });
});

describe('points of a trace', () => {
  it('are the readings where every one is there', () => {
    expect(points({ exact: true, time_s: [0, 1], low: [5, null], high: [] })).toEqual([[0, 1], [5, null]]);
  });
  it('hold least and greatest of every bucket, open at a silence, and no instant twice', () => {
    const [x, y] = points({ exact: false, time_s: [1, 2, 2, 9], low: [1, 2, null, 4], high: [3, 6, null, 8] });
    expect(y).toEqual([1, 3, 2, 6, null, 4, 8]);
    expect(x.every((at, n) => n === 0 || at > (x[n - 1] ?? -1))).toBe(true);
  });
  it('of two channels stand on one row of instants', () => {
    const one = (time_s: number[], low_N: number[]) => ({
      n: 2,
      rate_Hz: 1,
      aligned: { exact: true, time_s, low_N, high_N: [] },
      logged: null,
    });
    const traces = { channels: { line: one([0, 2], [1000, 2000]), anchor: one([1, 2], [3000, 4000]) } } as unknown as Traces;
    const [x, line, anchor] = forceTable(traces, ['line', 'anchor'], 1000);
    expect([...(x ?? [])]).toEqual([0, 1, 2]);
    expect([line?.[0], line?.[2], anchor?.[1], anchor?.[2]]).toEqual([1, 2, 3, 4]);
  });
});

describe('words and ticks', () => {
  it('name times as a reader does', () => {
    expect([timeWords(0, 60), timeWords(120, 60), timeWords(20, 10), timeWords(1710, 30), timeWords(1.5, 0.5)]).toEqual([
      '0', '2\u00a0min', '20\u00a0s', '28\u00a0min 30\u00a0s', '1.5\u00a0s',
    ]);
    expect([handWords(118), handWords(118.4), handWords(140.7068696841941)]).toEqual(['118\u00a0s', '118.4\u00a0s', '141\u00a0s']);
  });
  it('stand at round values', () => {
    expect(ticks(0, 20, 5)).toEqual([0, 5, 10, 15, 20]);
    expect(ticks(1.71, 2.05, 4).map((at) => Number(at.toFixed(6)))).toEqual([1.8, 1.9, 2]);
    expect(timeStep(360, 7)).toBe(60);
  });
});

describe('a closer look', () => {
  it('stays within the log and no closer than it helps', () => {
    const whole = new Window(0, 100);
    expect(new Window(-10, 20).inside(whole)).toEqual(new Window(0, 30));
    expect(new Window(40, 60).around(50, 1e-9).span).toBeCloseTo(2);
  });
  const made = (from_s: number, to_s: number, n: number, exact = false) =>
    ({ from_s, to_s, channels: { line: { aligned: { exact, time_s: Array(n).fill(0), low_N: [], high_N: [] } } } }) as unknown as Traces;
  it('is asked for once the whole is too rough, and shown while it holds what is seen', async () => {
    const asked: unknown[] = [];
    const closer = new LookCloser((wanted) => (asked.push(wanted), Promise.resolve(made(30, 60, 3000))), () => undefined);
    const whole = made(0, 3600, 2000);
    closer.begin(whole);
    closer.want(new Window(0, 3600), 1000);
    expect(asked).toEqual([]);
    closer.want(new Window(40, 50), 1000);
    await Promise.resolve();
    expect(asked).toEqual([{ from_s: 30, to_s: 60, points: 6000 }]);
    expect(closer.best(new Window(40, 50), 1000)).not.toBe(whole);
    expect(closer.best(new Window(100, 110), 1000)).toBe(whole);
  });
  it('is not asked for where every reading is there already', () => {
    const asked: unknown[] = [];
    const closer = new LookCloser((wanted) => (asked.push(wanted), Promise.resolve(made(0, 1, 1))), () => undefined);
    closer.begin(made(0, 300, 289, true));
    closer.want(new Window(40, 50), 1000);
    expect(asked).toEqual([]);
  });
});
