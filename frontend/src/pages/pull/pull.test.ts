import { describe, expect, it } from 'vitest';
import { asked, askedResistance, emptyWhole, joined, kept, missing, split } from './doc';
import { limitWords, minutes } from './format';
import type { Item } from './records';

describe('what a pull still lacks', () => {
  it('names everything on an empty sheet, in the order of the sentence', () => {
    expect(missing(emptyWhole('kN'))).toEqual(['mass', 'surface', 'depth', 'anchor', 'kit', 'winch']);
  });
  it('asks for the resistance as soon as mass, ground and depth are there, without what only a rig needs', () => {
    const whole = emptyWhole('kN');
    expect(askedResistance(whole)).toBeNull();
    Object.assign(whole.doc.vehicle, { mass: '2.6 t', sunk: 'rim', points: [{ name: 'left' }], hazards: ['in water'] });
    whole.doc.ground.surface = 'gravel';
    expect(askedResistance(whole)).toMatchObject({ vehicle: { mass: '2.6 t', sunk: 'rim' }, ground: { surface: 'gravel' } });
    expect(askedResistance(whole)?.['vehicle']).not.toHaveProperty('points');
  });
});

describe('what is asked and what is kept', () => {
  it('keeps the rig chosen by hand, and plans all rigs', () => {
    const whole = emptyWhole('kN');
    whole.beside.rig = 'two-part/on-load';
    expect(asked(whole)).not.toHaveProperty('rig');
    expect(kept(whole)['rig']).toBe('two-part/on-load');
  });
});

describe('a quantity as it is typed', () => {
  it('is taken apart and put together without a change', () => {
    for (const text of ['2.6 t', '9 500 lbf', '-1.5 m', '4 deg', '14 %']) {
      const { number, unit } = split(text, 'kN');
      expect(joined(number, unit)).toBe(text);
    }
    expect(split(undefined, 'kg')).toEqual({ number: '', unit: 'kg' });
    expect(joined('', 'kg')).toBe('');
  });
});

describe('words', () => {
  const item = { limit_N: 49000, marked_N: 98000, basis: 'MBS ÷ 2' } as Item;
  it('say a limit with its mark and its basis, and none as none', () => {
    expect(limitWords(item, 'kN', 'no rating')).toBe('98.0 MBS ÷ 2 = 49.0');
    expect(limitWords({ ...item, marked_N: 55000, limit_N: 55000, basis: 'WLL' }, 'kN', 'no rating')).toBe('55.0 WLL');
    expect(limitWords({ ...item, limit_N: null, basis: 'unknown' }, 'kN', 'no rating')).toBe('no rating');
  });
  it('say times in minutes', () => {
    expect(minutes(89)).toBe('1\u00a0min 29\u00a0s');
    expect(minutes(59.6)).toBe('1\u00a0min');
    expect(minutes(null)).toBe('–');
  });
});
