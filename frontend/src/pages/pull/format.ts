/** How this page says times, rigs and limits; forces and percent come from figures.ts. */
import { force, ofLimit, type ForceUnit } from '../../figures';
import type { Item } from './records';

const FIXED = '\u00a0';

/** 160 s as `2 min 40 s`. */
export function minutes(value_s: number | null | undefined): string {
  if (value_s === null || value_s === undefined) return '–';
  const whole = Math.round(value_s);
  const min = Math.floor(whole / 60);
  const rest = whole % 60;
  if (min === 0) return `${rest}${FIXED}s`;
  return rest ? `${min}${FIXED}min ${rest}${FIXED}s` : `${min}${FIXED}min`;
}

/** What the limit of a piece is and where it comes from: `93.2 WLL`, `98.0 MBS ÷ 2 = 49.0`. */
export function limitWords(item: Item, unit: ForceUnit, none: string): string {
  if (item.limit_N === null) return item.basis && item.basis !== 'unknown' ? item.basis : none;
  const limit = force(item.limit_N, unit, false);
  const marked = item.marked_N === null ? '' : force(item.marked_N, unit, false);
  if (!/^(WLL|MBS)/.test(item.basis)) return `${limit}, ${item.basis}`;
  return !marked || marked === limit ? `${limit} ${item.basis}` : `${marked} ${item.basis} = ${limit}`;
}

/** Load ÷ limit of a piece in words. The winch is held against its line pull, at the high resistance. */
export function share(item: Item): string {
  return item.utilisation === null ? '' : ofLimit(item.utilisation);
}
export function isWinch(item: Item): boolean {
  return item.role === 'winch';
}
