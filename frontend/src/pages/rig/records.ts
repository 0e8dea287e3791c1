/** Records the page of rigs reads, as docs/records.md has them, and what a rig file holds. */
import type { AnyRecord } from '../../api/ask';
import type { Measured } from '../../figures';

export type Word = 'inside' | 'tight' | 'over' | 'unknown';
type Quantity = string | number;
type Place = Quantity[];

export interface Strap {
  to: string;
  length: Quantity;
  EA?: Quantity;
}
export interface BlockDoc {
  on?: string;
  floating?: boolean;
  strap?: Strap | Strap[];
  at?: Place;
  near?: Place;
  sheave?: Record<string, unknown>;
  device?: string;
  wll?: Quantity;
  kind?: string;
  [more: string]: unknown;
}
export interface LineDoc {
  standing: string;
  through?: string[];
  fall?: string;
  to?: string;
  length?: Quantity;
  rope?: Record<string, unknown>;
  [more: string]: unknown;
}
export interface AnchorDoc {
  at?: Place;
  beside?: string;
  limit?: Quantity;
  source?: string;
  [more: string]: unknown;
}
export interface LoadDoc {
  name: string;
  at?: Place;
  toward?: string;
  direction?: number[];
  resistance?: Quantity;
  [more: string]: unknown;
}
export interface WinchDoc {
  on: string;
  stall?: Quantity;
  line_pull?: Quantity;
  [more: string]: unknown;
}
/** What a rig file holds. */
export interface RigDoc {
  rig?: string;
  mode?: string;
  units?: Record<string, string>;
  sheaves?: Record<string, unknown>;
  anchors?: Record<string, AnchorDoc | null>;
  load?: LoadDoc;
  blocks?: Record<string, BlockDoc>;
  lines?: Record<string, LineDoc>;
  winch?: WinchDoc;
  winches?: Record<string, WinchDoc>;
  [more: string]: unknown;
}

export interface Told {
  code: string;
  message: string;
  where: string[];
}
export interface LoadRow {
  of: string;
  what: 'drum' | 'anchor' | 'block' | 'becket' | 'part' | 'strap';
  name: string;
  expected_N: number;
  interval95_N: [number, number] | null;
  stall_N: number | null;
  frictionless_N: number | null;
  limit_N: number | null;
  basis: string;
  utilisation: number | null;
  utilisation_stall: number | null;
  verdict: Word | null;
  verdict_stall: Word | null;
}
export interface Frame {
  size: string;
  ground: boolean;
  px_per_m: number | null;
  origin_px: [number, number];
  x_px: [number, number];
  y_px: [number, number];
  sheet_px: [number, number, number, number];
  width_px: number;
  height_px: number;
  [more: string]: unknown;
}
export interface PlaceOnSheet {
  of: string;
  name: string;
  on: string;
  x: number;
  y: number;
  box_px: [number, number, number, number];
  at_m: [number, number] | null;
}
interface Solution extends AnyRecord {
  rig: string;
  sentence: string;
  law: string;
  law_source: string;
  ideal_advantage: number | null;
  advantage: number | null;
  resistance_N: number;
  effort_N: Record<string, number>;
  travel_ratio: Record<string, number>;
  side_pull_N: number;
  lines: Record<string, { parts: { from: string; to: string; tension_N: number; length_m: number | null }[] }>;
  contacts: { line: string; index: number; at: string; wrap_rad: number; ratio: number; load_N: number }[];
}
export interface RigSheet extends AnyRecord {
  rig: string;
  notation: string | null;
  mapping: RigDoc | null;
  solution: Solution | null;
  refused: Told | null;
  answer: { advantage: Measured | null; winch_share: Measured | null; lost: number | null; stall_N: number | null } | null;
  without_friction: { advantage: number | null; effort_N: Record<string, number> } | null;
  loads: LoadRow[];
  drawing: string | null;
  unrolled: string | null;
  not_drawn: Told | null;
  frame: Frame | null;
  places: PlaceOnSheet[];
}
export interface RigFile extends AnyRecord {
  rig: string;
  mapping: RigDoc;
  yaml: string;
  notation: string | null;
  not_in_notation: string;
}
export interface NamedRig {
  name: string;
  path: string;
  ideal_advantage: number;
  contacts: number;
}
export interface Sheave {
  row: string;
  name: string;
  family: string;
  k: Measured;
  valid: string;
  source: string;
}
export interface Listed {
  kind: string;
  name: string;
  version: number;
  changed_at: string;
  by: string;
  invented?: boolean;
}
export interface BookDocument<T> extends AnyRecord {
  name: string;
  version: number;
  content: T | null;
}
export interface DevicesDoc {
  devices?: Record<string, { k: number; u?: number; interval95?: [number, number]; name?: string }>;
  [more: string]: unknown;
}
