/** `campaign.yaml` as it is filled in, and back; keys this form does not know stay as they are. */
import type { Spec } from './records';

export type Fields = Record<string, string>;
export interface Named {
  id: string;
  fields: Fields;
}
export interface Form {
  name: string;
  margin: string;
  cells: Named[];
  devices: Named[];
  ropes: Named[];
  site: Fields;
  report: Fields;
}

export const NEW: Form = {
  name: '',
  margin: '2 %',
  cells: [
    { id: 'line', fields: { class_of: 'reading' } },
    { id: 'anchor', fields: { class_of: 'reading' } },
  ],
  devices: [{ id: '', fields: { kind: 'pulley block' } }],
  ropes: [],
  site: {},
  report: {},
};
export const REPORT = ['title', 'number', 'issued', 'customer', 'laboratory', 'method', 'authorised_by', 'interests', 'not_tested'] as const;
export const SITE = ['place', 'ground', 'drag'] as const;

const text = (value: unknown): string => (value === null || value === undefined ? '' : String(value));
const texts = (from: Record<string, unknown> | undefined): Fields =>
  Object.fromEntries(Object.entries(from ?? {}).map(([key, value]) => [key, text(value)]));
const named = (from: Record<string, Record<string, unknown>> | undefined): Named[] =>
  Object.entries(from ?? {}).map(([id, fields]) => ({ id, fields: texts(fields) }));

export function formOf(spec: Spec): Form {
  return {
    name: spec.name,
    margin: text(spec.margin ?? '2 %'),
    cells: named(spec.cells),
    devices: named(spec.devices),
    ropes: named(spec.ropes),
    site: texts(spec.site),
    report: texts(spec.report),
  };
}

type Section = Record<string, Record<string, unknown>> | undefined;

/** What is told; a value that was not changed stays what it was, a number a number. */
function told(fields: Fields, before: Record<string, unknown> | undefined): Record<string, unknown> {
  const filled = Object.entries(fields).map(([key, value]) => [key, value.trim()] as const);
  return Object.fromEntries(
    filled.filter(([, value]) => value).map(([key, value]) => [key, before && text(before[key]) === value ? before[key] : value]),
  );
}
const byId = (list: Named[], before: Section): Record<string, Record<string, unknown>> =>
  Object.fromEntries(list.filter((one) => one.id.trim()).map((one) => [one.id.trim(), told(one.fields, before?.[one.id.trim()])]));

/** The content to keep; what was read before and is not on the form (formats of logs, factors) stays. */
export function specOf(form: Form, before: Spec | null): Spec {
  const spec: Spec = { ...before, name: form.name.trim(), margin: form.margin.trim() || '2 %', cells: byId(form.cells, before?.cells) as Spec['cells'] };
  const rest: [string, Record<string, unknown>][] = [
    ['devices', byId(form.devices, before?.devices)],
    ['ropes', byId(form.ropes, before?.ropes)],
    ['site', told(form.site, before?.site)],
    ['report', told(form.report, before?.report)],
  ];
  for (const [key, value] of rest) {
    if (Object.keys(value).length) spec[key] = value;
    else delete spec[key];
  }
  return spec;
}
