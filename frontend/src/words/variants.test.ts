import { describe, expect, it } from 'vitest';
import { ofMachine, ofPages, spell } from './variants';

const us = (text: string) => spell(text, ofMachine('US'));

describe('words of AU, UK and US', () => {
  it('spells the same sentence three ways, with its capitals', () => {
    const text = 'Tyres 3 metres from the centre; a fibre rope of 2 tonnes. TYRE';
    expect(us(text)).toBe('Tires 3 meters from the center; a fiber rope of 2 metric tons. TIRE');
    for (const region of ['AU', 'UK'] as const) expect(spell(text, ofMachine(region))).toBe(text);
  });

  it('leaves words that only look alike', () => {
    for (const text of ['a metred road', 'centreline', 'parameter', 'gyre tyred'])
      expect(us(text)).toBe(text);
  });

  it('never respells what a reader named, wrote in notation or must type', () => {
    for (const text of [
      "'Centre tyre' is not known here.",
      'There is no campaign “colour of metres”.',
      'Path: !tyre.drum > centre > tyre',
      'Write `metre: 3`.',
      'logs/centre.csv, line 3',
      'centre-line.yaml',
    ])
      expect(us(text)).toBe(text);
  });

  it('gives other words only to the strings of the pages: a ute of the reader stays one', () => {
    expect(us('The ute is stuck.')).toBe('The ute is stuck.');
    expect(spell('The ute is stuck.', ofPages('US'))).toBe('The pickup is stuck.');
    expect(spell('The ute is stuck.', ofPages('UK'))).toBe('The pickup is stuck.');
    expect(spell('The ute is stuck.', ofPages('AU'))).toBe('The ute is stuck.');
    expect(spell('Set the parking brake.', ofPages('UK'))).toBe('Set the handbrake.');
  });

  it("keeps an apostrophe from being read as a quote", () => {
    expect(us("the makers' tyres and the users' metres")).toBe("the makers' tires and the users' meters");
  });

  it('spells each text once', () => {
    expect(us(us('two tonnes and a tyre'))).toBe('two metric tons and a tire');
  });
});
