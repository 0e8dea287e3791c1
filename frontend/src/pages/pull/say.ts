/** The pull in words, part by part of its sentence. */
import type { Words } from '../../words/en';
import type { AnchorDoc, PullDoc, Whole } from './doc';

type W = Words['pulls']['sentence'];

export function slopeWords(doc: PullDoc, w: W): string {
  const { slope, direction = 'level' } = doc.ground;
  if (direction === 'level') return w.level;
  return `${typeof slope === 'string' ? slope.replace(/ ?deg$/, '°') : w.measured} ${direction === 'up' ? w.up : w.down}`;
}

export function anchorWords(anchor: AnchorDoc, w: W): string {
  const far = anchor.distance ? w.far(anchor.distance, anchor.side ?? 'ahead') : w.placed;
  const bad = anchor.signs?.length ? `, ${anchor.signs.join(', ')}` : '';
  const limit = anchor.limit ? `, ${w.limit(anchor.limit)}` : `, ${w.noLimit}`;
  return `${anchor.name} ${far}${bad}${limit}`;
}

export function pointWords(doc: PullDoc, w: W): string {
  const points = doc.vehicle.points ?? [];
  if (!points.length) return w.noPoint;
  const marks = [...new Set(points.map((one) => (one.rating ? `${one.rating} ${one.basis ?? 'unknown'}` : w.unmarked)))];
  return w.points(points.length, marks.join(', '));
}

export function winchWords(whole: Whole, w: W): string {
  const known = whole.beside.kit?.winches ?? [];
  return whole.doc.winch
    .map((one) => {
      const name = known.find((two) => two.id === one.id)?.name ?? one.id;
      return one.on && one.on !== whole.doc.vehicle.name ? w.winchOn(name, one.on) : name;
    })
    .join(` ${w.or} `);
}

export function dangers(doc: PullDoc): string[] {
  const lies = doc.vehicle.lies && doc.vehicle.lies !== 'on its wheels' ? [doc.vehicle.lies] : [];
  return [...lies, ...(doc.vehicle.hazards ?? []), ...(doc.site.hazards ?? [])];
}

/** A name no other anchor has. */
export function freeName(doc: PullDoc, kind: string): string {
  const taken = [doc.vehicle.name, ...doc.site.anchors.map((one) => one.name)];
  if (!taken.includes(kind)) return kind;
  for (let n = 2; ; n += 1) if (!taken.includes(`${kind} ${n}`)) return `${kind} ${n}`;
}
