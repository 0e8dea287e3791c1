/** Numbers as they are shown: SI in, the reader's unit out, with the rounding of the command line and of the paper.
 *
 *  The only arithmetic of the pages. A test compares every function with the Python one it stands for. */

export type ForceUnit = 'kN' | 'kgf' | 'lbf' | 't';
export interface Measured {
  value: number;
  u: number;
  interval95: [number, number];
}

export const FORCE_UNITS: readonly ForceUnit[] = ['kN', 'kgf', 'lbf', 't'];
const THIN = '\u2009';
const FIXED = '\u00a0';
const UNKNOWN = '–';
const G0 = 9.80665;
const POUND_kg = 0.45359237;
const UNITS: Record<ForceUnit, { factor: number; decimals: number }> = {
  kN: { factor: 1000, decimals: 2 },
  kgf: { factor: G0, decimals: 0 },
  lbf: { factor: POUND_kg * G0, decimals: 0 },
  t: { factor: 1000 * G0, decimals: 2 },
};

/** A number with thin-space thousands and a true minus; NaN and null are a dash. Halves go to the even digit. */
export function number(value: number | null | undefined, decimals = 0): string {
  if (value === null || value === undefined || Number.isNaN(value)) return UNKNOWN;
  if (!Number.isFinite(value)) return (value < 0 ? '−' : '') + '∞';
  const text = fixed(Math.abs(value), Math.max(decimals, 0), decimals);
  const [whole = '0', rest] = text.split('.');
  const spaced = whole.replace(/\B(?=(\d{3})+$)/g, THIN);
  const minus = value < 0 && /[1-9]/.test(text) ? '−' : '';
  return minus + spaced + (rest === undefined ? '' : `.${rest}`);
}

/** Correctly rounded decimals of the binary number, ties to even, as Python's round() and format() give them. */
function fixed(value: number, shown: number, decimals: number): string {
  if (decimals < 0) {
    const step = 10 ** -decimals;
    return (halfEven(value / step) * step).toFixed(0);
  }
  // toFixed rounds exact ties up and every other case by the exact binary value, as Python does; a number is a tie
  // at d decimals where it is an odd count of 2^-(d+1), and going back to the even digit borrows from no other
  const text = value.toFixed(shown);
  const halves = value * 2 ** (shown + 1);
  const tie = Number.isInteger(halves) && halves % 2 === 1;
  const last = Number(text.at(-1));
  return tie && last % 2 === 1 ? text.slice(0, -1) + (last - 1) : text;
}

function halfEven(x: number): number {
  const low = Math.floor(x);
  const over = x - low;
  if (over !== 0.5) return Math.round(x);
  return low % 2 === 0 ? low : low + 1;
}

/** A force [N] as printed: two decimals of a kN below 20 kN, one from there on. */
export function force(value_N: number | null | undefined, unit: ForceUnit, named = true): string {
  if (value_N === null || value_N === undefined) return UNKNOWN;
  const { factor, decimals } = UNITS[unit];
  const fewer = decimals === 0 ? 0 : (factor > 5000 ? 1 : 0) - (Math.abs(value_N) >= 19995 ? 1 : 0);
  return number(value_N / factor, decimals + fewer) + (named ? FIXED + unit : '');
}

/** Newtons of one unit: to place ticks on a scale of forces. */
export function newtonsPer(unit: ForceUnit): number {
  return UNITS[unit].factor;
}

/** A force in the unit named second: kgf beside kN, kN beside all others. */
export function other(value_N: number | null | undefined, unit: ForceUnit): string {
  return force(value_N, unit === 'kN' ? 'kgf' : 'kN');
}

/** Value and uncertainty to the figures of the uncertainty (JCGM 100:2008, 7.2.6), ties away from zero. */
export function roundPair(value: number, u: number, figures = 2): [string, string] {
  if (Number.isNaN(value)) return [UNKNOWN, UNKNOWN];
  if (!Number.isFinite(u) || u < 0) return [significant(value, 6), UNKNOWN];
  if (u === 0) {
    return [trimmed(number(value, value === 0 ? 0 : Math.max(0, 5 - exponent(value)))), '0'];
  }
  let place = figures - 1 - exponent(u);
  if (exponent(awayAt(u, place)) !== exponent(u)) place -= 1;
  return [number(awayAt(value, place), place), number(awayAt(u, place), place)];
}

/** Power of ten of the first figure. */
function exponent(value: number): number {
  return Number(Math.abs(value).toExponential().split('e')[1]);
}

/** Rounded at a decimal place by the decimal figures as they read, ties away from zero. */
function awayAt(value: number, place: number): number {
  const [digits = '0', power = '0'] = Math.abs(value).toExponential().split('e');
  const figures = digits.replace('.', '');
  const keep = Number(power) + 1 + place; // figures that stay
  if (keep < 0) return 0;
  const whole = BigInt(figures.slice(0, keep).padEnd(keep, '0') || '0');
  const up = Number(figures[keep] ?? '0') >= 5 ? 1n : 0n;
  return Math.sign(value) * Number(`${whole + up}e${-place}`);
}

/** At most so many significant figures: no zeros at the end of decimals, no power of ten. */
function significant(value: number, figures: number): string {
  if (value === 0 || !Number.isFinite(value)) return number(value);
  return trimmed(number(value, figures - 1 - exponent(value)));
}

function trimmed(text: string): string {
  return text.includes('.') ? text.replace(/0+$/, '').replace(/\.$/, '') : text;
}

/** Value ± half the 95 % interval; an interval that is not symmetric within a tenth with its ends. */
export function plusMinus(m: Measured | null | undefined, scale = 1, figures = 2, unit = ''): string {
  if (!m) return UNKNOWN;
  const tail = unit ? FIXED + unit : '';
  const [lo, hi] = m.interval95;
  const half = ((hi - lo) / 2) * scale;
  const [value, spread] = roundPair(m.value * scale, half, figures);
  if (half === 0) return significant(m.value * scale, 4) + tail;
  if (value === spread) return value + tail;
  const up = hi - m.value;
  const down = m.value - lo;
  if (Math.abs(up - down) > 0.1 * (up + down)) {
    const low = roundPair(lo * scale, half, figures)[0];
    const high = roundPair(hi * scale, half, figures)[0];
    return `${value} (${low} to ${high})${tail}`;
  }
  return `${value} ± ${spread}${tail}`;
}

/** The two halves of value ± uncertainty, for an answer set in two sizes. */
export function pair(m: Measured, scale = 1, figures = 1): [string, string] {
  return roundPair(m.value * scale, ((m.interval95[1] - m.interval95[0]) / 2) * scale, figures);
}

export function percent(m: Measured | null | undefined, figures = 2): string {
  return plusMinus(m, 100, figures, '%');
}

export function forcePlusMinus(m: Measured | null | undefined, unit: ForceUnit, named = true): string {
  return plusMinus(m, 1 / UNITS[unit].factor, 2, named ? unit : '');
}

export function forceRange(low_N: number, high_N: number, unit: ForceUnit): string {
  const low = force(low_N, unit, false);
  const high = force(high_N, unit);
  return high.startsWith(low + FIXED) ? high : `${low} to ${high}`;
}

/** Load ÷ limit in percent; with a decimal where whole percent would hide on which side of 80 or 100 it is. */
export function ofLimit(utilisation: number | null | undefined): string {
  if (utilisation === null || utilisation === undefined) return UNKNOWN;
  if (!Number.isFinite(utilisation)) return 'not to be used';
  const hundredth = 100 * utilisation;
  const near = [80, 100].some((edge) => Math.abs(hundredth - edge) < 0.5 && hundredth > edge);
  const shown = near ? (Math.ceil(10 * hundredth - 1e-6) / 10).toFixed(1) : number(hundredth, 0).replaceAll(THIN, '');
  return `${shown}${FIXED}%`;
}

export function metres(value_m: number | null | undefined, decimals = 1, named = true): string {
  return number(value_m, decimals) + (named ? `${FIXED}m` : '');
}

export function seconds(value_s: number | null | undefined): string {
  if (value_s === null || value_s === undefined) return UNKNOWN;
  const whole = Math.abs(value_s) >= 10 || Number.isInteger(value_s);
  return `${number(value_s, whole ? 0 : 1)}${FIXED}s`;
}

export function degrees(value_rad: number | null | undefined, decimals = 0): string {
  return value_rad === null || value_rad === undefined ? UNKNOWN : `${number((value_rad * 180) / Math.PI, decimals)}°`;
}

/** A whole number with its word. */
export function count(n: number, one: string, many = `${one}s`): string {
  return `${number(n, 0)} ${n === 1 ? one : many}`;
}
