import { describe, expect, it } from 'vitest';
import { fresh, renamed, spoken, without, withoutLine, withUnit } from './doc';
import type { RigDoc } from './records';

const corner: RigDoc = {
  mode: 'ground',
  anchors: { oak: { at: ['0 m', '0 m'] }, helper: { at: ['3 m', '11 m'] }, pine: { at: ['9 m', '9 m'] } },
  load: { name: 'wagon', at: ['16 m', '-2 m'], toward: 'oak', resistance: '20 kN' },
  blocks: { corner: { strap: { to: 'oak', length: '2 m' } }, B1: { on: 'wagon' } },
  lines: { 'winch line': { standing: 'oak', through: ['B1', 'corner'], fall: 'winch' }, 'line 2': { standing: 'pine', to: 'B1.becket' } },
  winch: { on: 'helper', stall: '42 kN' },
};

describe('a body called otherwise', () => {
  it('is called so in every strap, line and winch', () => {
    const found = renamed(corner, 'oak', 'elm');
    expect(JSON.stringify(found)).not.toContain('oak');
    expect(found.load?.toward).toBe('elm');
    expect(found.blocks?.['corner']?.strap).toEqual({ to: 'elm', length: '2 m' });
    expect(found.lines?.['winch line']?.standing).toBe('elm');
  });
  it('keeps the becket of a block', () => {
    expect(renamed(corner, 'B1', 'snatch').lines?.['line 2']?.to).toBe('snatch.becket');
  });
});

describe('what is taken out', () => {
  it('takes along what was held by it, the lines that met it and a winch without a line', () => {
    const found = without(corner, 'oak');
    expect(Object.keys(found.anchors ?? {})).toEqual(['helper', 'pine']);
    expect(Object.keys(found.blocks ?? {})).toEqual(['B1']);
    expect(Object.keys(found.lines ?? {})).toEqual(['line 2']);
    expect(found.winch).toBeUndefined();
  });
  it('leaves blocks that another line turns on, and those that hang free', () => {
    expect(Object.keys(withoutLine(corner, 'winch line').blocks ?? {})).toEqual(['corner', 'B1']);
  });
  it('changes nothing of the rig it was taken from', () => {
    const before = JSON.stringify(corner);
    without(corner, 'wagon');
    renamed(corner, 'oak', 'elm');
    expect(JSON.stringify(corner)).toBe(before);
  });
});

describe('names and quantities', () => {
  it('finds a name that is free', () => expect(fresh(corner, 'pine')).toBe('pine 2'));
  it('takes a number alone in the unit of the reader', () => {
    expect(withUnit('26', 'kN')).toBe('26 kN');
    expect(withUnit('2,5', 't')).toBe('2.5 t');
    expect(withUnit('4000 kgf', 'kN')).toBe('4000 kgf');
  });
  it('reads a plain number in the unit of its file', () => expect(spoken(18, 'kN')).toBe('18 kN'));
});
