/** The fields of a piece: what was typed, as texts, and back to the kit. Values keep the units they were typed with. */
import type { Piece } from './records';

export type Form = 'text' | 'number' | 'date' | 'condition' | 'end' | 'use' | 'core' | 'yes' | 'device' | 'material';

/** Keys of a piece that can be typed here, with how. */
export const FIELDS = {
  rating: 'text', factor: 'number', limit: 'text', source: 'text', diameter: 'text', sheave: 'text', length: 'text', mass: 'text',
  becket: 'yes', sheaves: 'number', device: 'device', material: 'material', grade: 'text', construction: 'text', core: 'core',
  end: 'end', use: 'use', choke_angle: 'text', colour: 'text', bought: 'date', age: 'text', inspected: 'date', due: 'date',
  condition: 'condition', note: 'text', basis: 'text',
} as const satisfies Record<string, Form>;
export type Key = keyof typeof FIELDS;
export type Typed = { kind: string; id?: string; name?: string } & Partial<Record<Key, string>>;

/** What is typed of a piece that is there. */
export function typedFrom(piece: Piece): Typed {
  const typed: Typed = { kind: piece.kind, id: piece.id, name: piece.name ?? '' };
  for (const key of Object.keys(FIELDS) as Key[]) {
    const value = piece[key];
    if (value !== undefined && value !== null) typed[key] = value === true ? 'yes' : value === false ? '' : String(value);
  }
  return typed;
}

/** The piece as it goes into the kit: what is not asked here stays as it was, what is empty is left out. */
export function cleaned(typed: Typed, before: Piece | null): Piece {
  const piece: Piece = { ...(before ?? {}), id: (typed.id ?? '').trim(), kind: typed.kind };
  put(piece, 'name', (typed.name ?? '').trim());
  for (const key of Object.keys(FIELDS) as Key[]) {
    const text = (typed[key] ?? '').trim();
    const form: Form = FIELDS[key];
    if (form === 'yes') put(piece, key, text === 'yes' ? true : '');
    else if (form === 'number' && text !== '' && Number.isFinite(Number(text))) put(piece, key, Number(text));
    else put(piece, key, text);
  }
  if (piece.rating === undefined) delete piece.basis; // a basis is of a mark
  if (piece.basis === 'unknown') delete piece.factor;
  return piece;
}

function put(piece: Record<string, unknown>, key: string, value: string | number | boolean): void {
  if (value === '') delete piece[key];
  else piece[key] = value;
}
