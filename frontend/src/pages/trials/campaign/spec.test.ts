import { describe, expect, it } from 'vitest';
import { halves, type Spec } from './records';
import { formOf, NEW, specOf } from './spec';

const KEPT: Spec = {
  name: 'yard (invented)',
  invented: true,
  margin: '2 %',
  cells: { 'line-3t': { capacity: '3 t', class: '0.5 %', factor: 1.002, certificate: 'c-1', due: '2030-03-31' } },
  devices: { 'puck-A': { kind: 'pulley block', mass: '1.2 kg' } },
  logs: { default: { dates: 'day-first' } },
};

describe('a campaign on its form', () => {
  it('comes back as it was, with what the form does not show', () => {
    expect(specOf(formOf(KEPT), KEPT)).toEqual(KEPT);
  });

  it('leaves out what was emptied, and nothing else', () => {
    const form = formOf(KEPT);
    form.cells[0]!.fields.certificate = ' ';
    form.devices = [];
    const back = specOf(form, KEPT);
    expect(back.cells['line-3t']).not.toHaveProperty('certificate');
    expect(back).not.toHaveProperty('devices');
    expect(back.logs).toEqual(KEPT.logs);
    expect(back.invented).toBe(true);
  });

  it('takes a row without a name for one that was not filled in', () => {
    const form = structuredClone(NEW);
    form.name = ' fresh ';
    expect(specOf(form, null)).toEqual({
      name: 'fresh',
      margin: '2 %',
      cells: { line: { class_of: 'reading' }, anchor: { class_of: 'reading' } },
    });
  });
});

describe('a figure as printed', () => {
  it.each([
    ['1.919 ± 0.014', '1.919', '± 0.014'],
    ['52.12 ± 0.39\u00a0%', '52.12', '± 0.39\u00a0%'],
    ['1.000 (0.990 to 1.060)', '1.000', '(0.990 to 1.060)'],
    ['1', '1', ''],
  ])('%s is cut once', (text, value, rest) => {
    expect(halves(text)).toEqual([value, rest]);
  });
});
