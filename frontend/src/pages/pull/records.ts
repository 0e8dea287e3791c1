/** The records this page shows, as far as it reads them. */
import type { AnyRecord } from '../../api/ask';
import type { Measured } from '../../figures';

export type VerdictWord = 'inside' | 'tight' | 'over' | 'unknown';
export interface Range {
  low: number;
  likely: number;
  high: number;
}
export interface ItemLoad {
  likely: number;
  high: number;
  stall: number;
}
export interface Rule {
  name: string;
  source: string;
  note: string;
  low_N: number;
  likely_N: number;
  high_N: number;
  breakout_N: number;
  drivers: { name: string; force_N: number; share: number }[];
}
export interface Resistance extends AnyRecord {
  weight_N: number;
  rules: Rule[];
  chosen: string;
  left_out: { name: string; reason: string }[];
  own: { n: number; used: boolean }[];
  savings: { what: string; saved_N: number; share: number; rule: string }[];
  also: string[];
}
export interface Item {
  item: string;
  name: string;
  role: string;
  at: string;
  load_N: ItemLoad;
  limit_N: number | null;
  basis: string;
  utilisation: number | null;
  verdict: VerdictWord;
  note: string;
  first: string;
  at_m: number | null;
  holds_N: Range | null;
  marked_N: number | null;
  factor: number | null;
  deratings: { words?: string; what?: string; share?: number; source?: unknown }[];
}
export interface Candidate {
  rig: string;
  title: string;
  path: string;
  sentence: string;
  rank: number;
  why: string;
  verdict: VerdictWord;
  ideal_advantage: number;
  advantage: number;
  winch_share: number;
  effort_N: Range;
  stall_N: number;
  winch_limit_N: number | null;
  layer: number;
  line_needed_m: number | null;
  line_have_m: number | null;
  travel_m: number | null;
  setups: number | null;
  time_s: number | null;
  charge_Ah: number | null;
  items: Item[];
  chain: number[];
  notices: AnyRecord['notices'];
  resistance_N: Range | null;
  inside_share: Measured | null;
  likely_note: string;
  drivers: { what: string; share: number }[];
}
export interface Plan extends AnyRecord {
  pull: string;
  vehicle: string;
  surface: string;
  resistance_N: { low: number; likely: number; high: number; breakout: number; chosen: string; rules: Rule[] };
  candidates: Candidate[];
  rejected: { rig: string; lacked: string; count: number }[];
  chosen: string | null;
  zone: { radius_m: number; rule: string; rules: { name: string; distance_m: number | null; source: string; note: string }[]; never: string[]; stand_m: [number, number][] };
  checklist: string[];
  brief: string[];
  briefs: Record<string, string[]>;
  closing: string[];
  marks: { place: string; low_N: number; high_N: number; stop_N: number; stop_why: string }[];
  friction_source: Record<string, string>;
  uncertainty: Record<string, Measured>;
}
export interface Both {
  likely: number | null;
  high: number | null;
}
export interface Steps extends AnyRecord {
  rig: string;
  resistance_N: Range;
  stall_N: number;
  wanted_m: number;
  travel_m: number;
  setups: number;
  steps: { travel_m: number; layer: number | null; effort_N: Range; line_pull_N: number | null; stall_N: number; line_out_m: number }[];
  stops: { what: string; travel_m: number; message: string }[];
  work: { time_s: Both; with_rests_s: Both; charge_Ah: Both; greatest_current_A: Both };
  parts_words: string;
}
export interface PlanSheet extends AnyRecord {
  plan: Plan;
  drawings: { what: 'glyph' | 'ground' | 'zone' | 'line'; rig: string; size: '' | 'laptop' | 'phone'; svg: string }[];
  undrawn: string;
  steps: Steps | null;
  unstepped: string;
  lead: string[];
  zone_words: string[];
  cautions: string[];
}
export interface Kinds extends AnyRecord {
  surfaces: string[];
  depths: string[];
  wheels: string[];
  lies: string[];
  directions: string[];
  ways: string[];
  anchor_kinds: string[];
  grips: string[];
  signs: string[];
  no_anchor_signs: string[];
  brakes: string[];
  tree: string;
  vehicle_hazards: string[];
  site_hazards: string[];
  person_kg: number;
}
export interface ReadingsCheck extends AnyRecord {
  place: string;
  moving: boolean;
  line_N: Measured;
  anchor_N: Measured;
  ratio: Measured;
  verdict: 'as drawn' | 'suspect' | 'cannot tell';
  explanations: { what: string; words: string; low: number; high: number | null; fits: boolean }[];
  words: string[];
  pull_to_N: number | null;
  against_plan: string;
}
export interface Seen extends AnyRecord {
  rig: string;
  when: string;
  by: string;
  note: string;
  moved: boolean;
  line_N: Measured;
  anchor_N: Measured | null;
  advantage: Measured;
  by_line_N: Measured;
  by_anchor_N: Measured | null;
  seen_N: Measured;
  breakout_N: Measured | null;
  rules: { rule: string; low_N: number; likely_N: number; high_N: number; breakout_N: number; ratio: Measured; verdict: string }[];
  entries: number;
}

/** A document of the book. */
export interface BookDocument {
  kind: 'document';
  document: string;
  name: string;
  version: number;
  versions: { version: number; at: string; by: string; why: string }[];
  content: Record<string, unknown> | null;
  /** Which documents a pull names. */
  beside: Record<string, string>;
  text: string | null;
}
export interface DocumentList {
  documents: { kind: string; name: string; version: number; changed_at: string; by: string }[];
}
