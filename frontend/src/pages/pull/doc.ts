/** The pull as it is typed: what its file holds, quantities as text with their unit. Nothing is worked out here. */

export interface PointDoc {
  name: string;
  rating?: string;
  basis?: 'WLL' | 'MBS' | 'unknown';
  end?: 'front' | 'rear';
  source?: string;
}
export interface VehicleDoc {
  name: string;
  mass: string;
  mass_low?: string;
  mass_high?: string;
  load?: string;
  people?: string | number;
  wheels?: string;
  sunk?: string;
  lies?: string;
  drive_helps?: boolean;
  opposite_direction?: boolean;
  trailer?: { mass: string; load?: string; braked?: boolean };
  points?: PointDoc[];
  spacing?: string;
  hazards?: string[];
  [more: string]: unknown;
}
export interface AnchorDoc {
  name: string;
  kind: string;
  distance?: string;
  at?: unknown;
  side?: 'ahead' | 'behind';
  aside?: string;
  limit?: string;
  source?: string;
  diameter?: string;
  signs?: string[];
  mass?: string;
  surface?: string;
  brakes?: string;
  chocks?: boolean;
  back_tie?: string;
  points?: PointDoc[];
  spacing?: string;
  [more: string]: unknown;
}
export interface WinchDoc {
  id: string;
  on?: string;
  end?: 'front' | 'rear';
}
export interface PullDoc {
  pull: string;
  invented?: boolean;
  vehicle: VehicleDoc;
  ground: { surface: string; slope?: unknown; direction?: string; [more: string]: unknown };
  site: { anchors: AnchorDoc[]; hazards?: string[]; wet?: boolean; [more: string]: unknown };
  winch: WinchDoc[];
  /** Name of a kit of the book, or all that a kit file holds. */
  kit: string | KitDoc;
  /** Name of a devices file of the book, or what it holds; without it the catalogue's rows stand. */
  friction?: string | Record<string, unknown>;
  /** `book`: what was seen on pulls of the book makes one more rule for the resistance. */
  own?: string | Record<string, unknown>;
  want: { travel?: string; least_gap?: string; people?: number; way?: string; leave_out?: string[] };
  date?: string;
  rule?: string;
  [more: string]: unknown;
}
export interface KitItem {
  id: string;
  kind: string;
  name?: string;
  device?: string;
  quarantined?: boolean;
  [more: string]: unknown;
}
export interface KitDoc {
  kit?: string;
  items?: KitItem[];
  winches?: { id: string; name?: string; rope?: unknown; [more: string]: unknown }[];
  [more: string]: unknown;
}

/** What belongs to this page alone: never part of the pull's file, kept on this device. */
export interface Beside {
  /** What was ticked, and on which day: yesterday's ticks say nothing of today. */
  considered: { safe: boolean; wait: boolean; dig: boolean; day: string };
  rig: string | null;
  /** The kit as it was last read, for its names. */
  kit: KitDoc | null;
  crew: string;
  ticks: Record<string, boolean>;
  ticksDay: string;
  readings: { line: string; anchor: string; unit: string; moving: boolean };
  seen: { line: string; anchor: string; breakout: string; unit: string; moved: boolean; by: string; note: string };
}
export interface Whole {
  doc: PullDoc;
  beside: Beside;
  /** The version in the book it was read as; null: not in the book yet. */
  version: number | null;
}

export function emptyWhole(unit: string): Whole {
  return {
    doc: {
      pull: '',
      vehicle: { name: 'vehicle', mass: '', wheels: 'rolling', sunk: '' },
      ground: { surface: '', slope: '0 deg', direction: 'level' },
      site: { anchors: [] },
      winch: [],
      kit: '',
      want: { travel: '5 m' },
    },
    beside: emptyBeside(unit),
    version: null,
  };
}
export function emptyBeside(unit: string): Beside {
  return {
    considered: { safe: false, wait: false, dig: false, day: '' },
    rig: null,
    kit: null,
    crew: '2',
    ticks: {},
    ticksDay: '',
    readings: { line: '', anchor: '', unit, moving: false },
    seen: { line: '', anchor: '', breakout: '', unit, moved: true, by: '', note: '' },
  };
}

export type Missing = 'mass' | 'surface' | 'depth' | 'anchor' | 'kit' | 'winch';
/** What a plan cannot do without, in the order of the sentence. */
export function missing(whole: Whole): Missing[] {
  const { doc } = whole;
  const lacks: [Missing, boolean][] = [
    ['mass', !doc.vehicle.mass],
    ['surface', !doc.ground.surface],
    ['depth', !doc.vehicle.sunk],
    ['anchor', !doc.site.anchors.length],
    ['kit', !doc.kit],
    ['winch', !doc.winch.length],
  ];
  return lacks.filter(([, lacking]) => lacking).map(([what]) => what);
}

/** The question a plan is asked by: the pull without the rig that was chosen by hand. */
export function asked(whole: Whole): Record<string, unknown> {
  const plain = JSON.parse(JSON.stringify(whole.doc)) as Record<string, unknown>;
  if (!plain['pull']) delete plain['pull'];
  return plain;
}

/** What is kept in the book: the same, with that rig. */
export function kept(whole: Whole): Record<string, unknown> {
  const plain = asked(whole);
  return whole.beside.rig ? { ...plain, rig: whole.beside.rig } : plain;
}

/** What a resistance needs, as soon as it is there. */
export function askedResistance(whole: Whole): Record<string, unknown> | null {
  const lacks = missing(whole);
  if (lacks.includes('mass') || lacks.includes('surface') || lacks.includes('depth')) return null;
  const { vehicle, ground } = asked(whole) as unknown as PullDoc;
  const alone: Record<string, unknown> = { ...vehicle };
  for (const key of ['points', 'spacing', 'hazards']) delete alone[key]; // of a rig, not of what it takes to move it
  return { vehicle: alone, ground };
}

/** `2.6 t` as what is typed and its unit. */
export function split(text: string | undefined, unit: string): { number: string; unit: string } {
  const found = /^\s*([-+−]?[\d.,\u2009 ]*\d)\s*(.*)$/.exec(text ?? '');
  return found ? { number: found[1] ?? '', unit: (found[2] ?? '').trim() || unit } : { number: '', unit };
}
export function joined(number: string, unit: string): string {
  return number.trim() ? `${number.trim()} ${unit}` : '';
}

/** The day here, year first. */
export function today(): string {
  const now = new Date();
  const two = (n: number) => String(n).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
