/** Changes of what a rig file holds: names and words put in and taken out. Nothing is computed. */
import type { ForceUnit } from '../../figures';
import type { BlockDoc, LineDoc, RigDoc, Strap, WinchDoc } from './records';

/** Two bodies on bare ground: what a rig drawn from nothing begins with. */
export function bare(unit: ForceUnit): RigDoc {
  return {
    rig: 'new rig',
    mode: 'ground',
    sheaves: { law: 'published', row: 'block-plain' },
    anchors: { tree: { at: ['0 m', '0 m'] } },
    load: { name: 'truck', at: ['12 m', '0 m'], toward: 'tree', resistance: startLoad(unit) },
    blocks: {},
    lines: {},
  };
}

const LOADS: Record<ForceUnit, string> = { kN: '20 kN', kgf: '2000 kgf', lbf: '4500 lbf', t: '2 t' };
const STALLS: Record<ForceUnit, string> = { kN: '40 kN', kgf: '4000 kgf', lbf: '9000 lbf', t: '4 t' };
export const startLoad = (unit: ForceUnit) => LOADS[unit];
export const startStall = (unit: ForceUnit) => STALLS[unit];

/** A rig with what a named one does not say: friction from the catalogue, a load, the winch at stall. */
export function begun(doc: RigDoc, unit: ForceUnit): RigDoc {
  const found: RigDoc = { ...doc };
  found.sheaves ??= { law: 'published', row: 'block-plain' };
  if (found.load && found.load.resistance === undefined) found.load = { ...found.load, resistance: startLoad(unit) };
  return withStall(found, unit);
}

/** The winch with a line pull at stall, where none is stated: no sheet is without. */
export function withStall(doc: RigDoc, unit: ForceUnit): RigDoc {
  if (doc.winches && !Object.values(doc.winches).every((one) => one.stall !== undefined)) {
    const stall = Object.values(doc.winches).find((one) => one.stall !== undefined)?.stall ?? startStall(unit);
    return { ...doc, winches: Object.fromEntries(Object.entries(doc.winches).map(([name, one]) => [name, { stall, ...one }])) };
  }
  if (doc.winch && doc.winch.stall === undefined) return { ...doc, winch: { ...doc.winch, stall: startStall(unit) } };
  return doc;
}

export function bodies(doc: RigDoc): string[] {
  const free = Object.entries(doc.blocks ?? {}).filter(([, one]) => isFree(one));
  return [...Object.keys(doc.anchors ?? {}), ...(doc.load ? [doc.load.name] : []), ...free.map(([name]) => name)];
}

export function isFree(block: BlockDoc | undefined): boolean {
  return !!block && (block.floating === true || block.strap !== undefined);
}

export function strapsOf(block: BlockDoc | undefined): Strap[] {
  return block?.strap === undefined ? [] : Array.isArray(block.strap) ? block.strap : [block.strap];
}

/** A name nothing in the rig has. */
export function fresh(doc: RigDoc, stem: string): string {
  const taken = new Set([...bodies(doc), ...Object.keys(doc.blocks ?? {}), ...Object.keys(doc.lines ?? {})]);
  for (let number = 1; ; number += 1) {
    const name = number === 1 ? stem : `${stem} ${number}`;
    if (!taken.has(name)) return name;
  }
}

/** The body or block a point of a line names: `B1.becket` is B1. */
const baseOf = (point: string) => point.split('.')[0] ?? point;

function pointsOf(line: LineDoc): string[] {
  return [line.standing, ...(line.through ?? []), ...(line.to === undefined ? [] : [line.to])];
}

/** The rig without a body or block, and without every line that met it. */
export function without(doc: RigDoc, name: string): RigDoc {
  const gone = new Set([name]);
  for (const [block, one] of Object.entries(doc.blocks ?? {})) {
    if (one.on !== undefined && baseOf(one.on) === name) gone.add(block);
    if (strapsOf(one).some((strap) => baseOf(strap.to) === name)) gone.add(block);
  }
  const drums = new Set(winchNames(doc).filter((winch) => gone.has(baseOf(winchesOf(doc)[winch]?.on ?? ''))));
  const lines = Object.entries(doc.lines ?? {}).filter(
    ([, line]) => !pointsOf(line).some((point) => gone.has(baseOf(point))) && !(line.fall !== undefined && drums.has(line.fall)),
  );
  return tidy({
    ...doc,
    anchors: Object.fromEntries(Object.entries(doc.anchors ?? {}).filter(([one]) => !gone.has(one))),
    blocks: Object.fromEntries(Object.entries(doc.blocks ?? {}).filter(([one]) => !gone.has(one))),
    lines: Object.fromEntries(lines),
  });
}

/** The rig without a line; blocks that nothing else turns on go with it. */
export function withoutLine(doc: RigDoc, name: string): RigDoc {
  const lines = Object.fromEntries(Object.entries(doc.lines ?? {}).filter(([one]) => one !== name));
  const used = new Set(Object.values(lines).flatMap((line) => pointsOf(line).map(baseOf)));
  const met = new Set(pointsOf(doc.lines?.[name] ?? { standing: '' }).map(baseOf));
  const blocks = Object.entries(doc.blocks ?? {}).filter(([one, block]) => isFree(block) || used.has(one) || !met.has(one));
  return tidy({ ...doc, lines, blocks: Object.fromEntries(blocks) });
}

/** A winch that no line falls to is taken out. */
function tidy(doc: RigDoc): RigDoc {
  const falls = new Set(Object.values(doc.lines ?? {}).map((line) => line.fall));
  const found = { ...doc };
  if (found.winch && !falls.has('winch')) delete found.winch;
  if (found.winches) {
    const left = Object.entries(found.winches).filter(([name]) => falls.has(name));
    found.winches = Object.fromEntries(left);
    if (!left.length) delete found.winches;
    else if (left.length === 1) alone(found, left[0]!);
  }
  return found;
}

/** One winch that is left of several: its line is the winch line again, and no pull is stated of it. */
function alone(doc: RigDoc, [name, winch]: [string, WinchDoc]): void {
  const { line_pull: _, ...left } = winch;
  delete doc.winches;
  doc.winch = left;
  doc.lines = Object.fromEntries(Object.entries(doc.lines ?? {}).map(([key, line]) => [key, line.fall === name ? { ...line, fall: 'winch' } : line]));
}

export function winchesOf(doc: RigDoc): Record<string, WinchDoc> {
  return doc.winch ? { winch: doc.winch } : (doc.winches ?? {});
}
const winchNames = (doc: RigDoc) => Object.keys(winchesOf(doc));

/** The rig with a body, block or line called otherwise, everywhere. */
export function renamed(doc: RigDoc, old: string, name: string): RigDoc {
  const one = (text: string) => (text === old ? name : text);
  const point = (text: string) => (baseOf(text) === old ? name + text.slice(old.length) : text);
  const keys = <T>(map: Record<string, T> | undefined) => Object.fromEntries(Object.entries(map ?? {}).map(([key, value]) => [one(key), value]));
  const found: RigDoc = { ...doc };
  found.anchors = keys(doc.anchors);
  for (const [key, anchor] of Object.entries(found.anchors)) if (anchor?.beside) found.anchors[key] = { ...anchor, beside: one(anchor.beside) };
  if (doc.load) found.load = { ...doc.load, name: one(doc.load.name), ...(doc.load.toward ? { toward: one(doc.load.toward) } : {}) };
  found.blocks = Object.fromEntries(
    Object.entries(keys(doc.blocks)).map(([key, block]) => {
      const straps = strapsOf(block).map((strap) => ({ ...strap, to: point(strap.to) }));
      const held = straps.length ? { strap: Array.isArray(block.strap) ? straps : straps[0] } : {};
      return [key, { ...block, ...(block.on ? { on: point(block.on) } : {}), ...held } as BlockDoc];
    }),
  );
  found.lines = Object.fromEntries(
    Object.entries(keys(doc.lines)).map(([key, line]) => [
      key,
      { ...line, standing: point(line.standing), ...(line.through ? { through: line.through.map(one) } : {}), ...(line.to ? { to: point(line.to) } : {}) },
    ]),
  );
  if (doc.winch) found.winch = { ...doc.winch, on: point(doc.winch.on) };
  if (doc.winches) found.winches = Object.fromEntries(Object.entries(doc.winches).map(([key, winch]) => [key, { ...winch, on: point(winch.on) }]));
  if (Array.isArray(doc['order'])) found['order'] = (doc['order'] as string[]).map(one);
  return found;
}

/** A number typed alone is one in the reader's unit. */
export function withUnit(text: string, unit: string): string {
  const typed = text.trim().replace(',', '.');
  return /^\d+(\.\d+)?$/.test(typed) ? `${typed} ${unit}` : text.trim();
}
/** A quantity of the file as it reads: a plain number stands in the file's own unit. */
export function spoken(value: string | number | undefined, unit: string | undefined): string {
  return value === undefined ? '' : typeof value === 'number' ? `${value}${unit ? ` ${unit}` : ''}` : value;
}
