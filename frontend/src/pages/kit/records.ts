/** The records this page reads; forces in newtons as everywhere. */
import type { AnyRecord } from '../../api/ask';
import type { Measured } from '../../figures';

export type Verdict = 'inside' | 'tight' | 'over' | 'unknown';

/** A piece as its kit has it: what was typed, with its units. Keys this page does not know stay as they are. */
export interface Piece {
  id: string;
  kind: string;
  name?: string;
  rating?: string | number;
  basis?: 'WLL' | 'MBS' | 'unknown';
  factor?: number;
  limit?: string | number;
  source?: string;
  due?: string;
  inspected?: string;
  bought?: string;
  age?: string;
  condition?: string;
  note?: string;
  quarantined?: boolean;
  photos?: string[];
  [more: string]: unknown;
}
export interface MakerRow {
  line_pull: string;
  speed?: string;
  current_A?: number;
  [more: string]: unknown;
}
export interface Winch {
  id: string;
  name?: string;
  line_pull?: string | number;
  rope?: string | Piece;
  drum?: { barrel?: string; width?: string; [more: string]: unknown };
  least_wraps?: number;
  stall_factor?: number;
  table?: MakerRow[];
  mount?: { rating?: string; basis?: string; source?: string; [more: string]: unknown };
  battery?: { voltage_V?: number; capacity_Ah?: number; [more: string]: unknown };
  [more: string]: unknown;
}
export interface KitContent {
  kit?: string;
  invented?: boolean;
  mbs_factor?: number;
  items?: Piece[];
  winches?: Winch[];
  [more: string]: unknown;
}

export interface Version {
  version: number;
  at: string;
  by: string;
  why: string;
}
export interface BookDocument<T> extends AnyRecord {
  document: string;
  name: string;
  version: number;
  versions: Version[];
  files: { path: string; sha256: string; size: number }[];
  content: T | null;
  text: string | null;
  beside?: Record<string, string>;
}
export interface Documents extends AnyRecord {
  documents: { kind: string; name: string; version: number; changed_at: string; by: string; invented?: boolean }[];
}

export interface Use {
  use: string;
  winch: string;
  load_N: number;
  limit_N: number | null;
  utilisation: number | null;
  verdict: Verdict;
  guidance: { verdict: string; asked_N: number; capacity_N: number | null; basis: string } | null;
  pull: string | null;
}
export interface CheckedItem {
  item: string;
  name: string;
  kind: string;
  marked_N: number | null;
  basis: string;
  factor: number | null;
  limit_N: number | null;
  condition: string;
  bought: string | null;
  inspected: string | null;
  due: string | null;
  overdue: boolean;
  uses: Use[];
  good_for: string[];
  worst: Use | null;
  utilisation: number | null;
  verdict: Verdict | null;
  note: string;
  unknown: string[];
  to_do: string[];
}
export interface KitCheck extends AnyRecord {
  kit_name: string;
  day: string;
  stall_N: number | null;
  items: CheckedItem[];
  set_aside: string[];
  weakest: string | null;
  pulls: { name: string; rig: string | null; winch: string | null; verdict: Verdict | null; lacked: string }[];
}
export interface Kind {
  kind: string;
  what: string;
  mark: string;
  usual_basis: string;
  why: string;
  asks: string[];
  uses: string[];
  out: string;
  source: string;
}
export interface Kinds extends AnyRecord {
  kinds: Kind[];
  bases: { basis: string; means: string }[];
  conditions: string[];
  ends: string[];
  sling_uses: string[];
  mbs_factor: number;
  mbs_factor_source: string;
}
export interface Due {
  what: 'inspection' | 'calibration';
  name: string;
  of: string;
  due: string;
  days: number;
  overdue: boolean;
  last: string | null;
  certificate: string;
}
export interface Inspection {
  item: string;
  kit: string;
  inspected: string | null;
  due: string | null;
  condition: string;
  noted_at: string;
  by?: string;
  note?: string;
}
export interface Friction {
  device: string;
  k: Measured;
  valid_N: [number, number];
  source: string;
  from: string;
  version: number;
  current: boolean;
}
export interface BookState extends AnyRecord {
  day: string;
  due: Due[];
  quarantine: { item: string; name: string; kit: string; since: string; by?: string; why?: string; note: string }[];
  inspections: Inspection[];
  friction: Friction[];
}

export const inBook = (kind: string, name: string, more = ''): string =>
  `/api/book/documents/${kind}/${encodeURIComponent(name)}${more}`;
export const ofPiece = (kit: string, item: string, more: string): string =>
  `/api/book/kit/${encodeURIComponent(kit)}/items/${encodeURIComponent(item)}/${more}`;
