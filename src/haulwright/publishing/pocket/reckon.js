/* What is reckoned; SI throughout. No page is touched here. */
const G = 9.80665;
const UNIT = { kN: 1000, kgf: G, lbf: 4.4482216152605, t: 1000 * G };

/** Resistance of a vehicle on its wheels by training fractions and mire: [low, likely, high] in N. */
function resistance(mass, slope, surface, depth) {
  const w = mass * G, s = Math.sin(slope), c = Math.cos(slope);
  const [low, likely, high] = [1, 2, 3].map((n) => w * (s + surface[n] * c + depth[n]));
  const half = CARD.spread * w * (Math.abs(s) + surface[2] * c + depth[2]);
  return [Math.max(0, Math.min(low, likely - half)), likely, Math.max(high, likely + half)];
}
/** Load on every block and on every anchor, from the tensions of the parts. */
function loads(rig, t) {
  const sum = ([, parts]) => parts.reduce((so_far, part) => so_far + t[part], 0);
  return { line: Math.max(...t), blocks: rig.blocks.map(sum), anchors: rig.anchors.map(sum) };
}
const most = (a, b) => ({
  line: Math.max(a.line, b.line),
  blocks: a.blocks.map((one, n) => Math.max(one, b.blocks[n])),
  anchors: a.anchors.map((one, n) => Math.max(one, b.anchors[n])),
});
/** Everything about a rig: n is its number, k the frictions of its passes, R = [low, likely, high], stall in N. */
function reckon(n, k, R, stall) {
  const rig = CARD.rigs[n], run = RIGS[n];
  const of = (name) => k.map((one) => one[name]), free = k.map(() => 1);
  const effort = (ratios, load) => run(ratios, load)[rig.fall];
  const share = [of('low'), of('k'), of('high')].map((ratios) => effort(ratios, 1)).sort((a, b) => a - b);
  const likely = effort(of('k'), R[1]);
  const sets = [free, of('high')];
  // friction never excuses smaller gear: the greatest with all ratios at 1 and at the upper end of their interval
  const expected = sets.map((ratios) => loads(rig, run(ratios, R[2]))).reduce(most);
  const atStall = sets.map((ratios) => loads(rig, run(ratios, stall / effort(ratios, 1)))).reduce(most);
  return {
    effort: [share[0] * R[0], likely, share[2] * R[2]],
    share: [share[0], effort(of('k'), 1), share[2]],
    advantage: 1 / effort(of('k'), 1),
    pull: stall / share[2], // what the load gets at stall at the least
    expected,
    stall: atStall,
    slack: ![...share, likely, ...Object.values(expected).flat(), ...Object.values(atStall).flat()].every(Number.isFinite),
  };
}
/** inside, tight, over, unknown: a missing limit is never fine. */
function verdict(load, limit) {
  if (limit === null || !Number.isFinite(load)) return 'unknown';
  return load > limit ? 'over' : load > CARD.tight * limit ? 'tight' : 'inside';
}
/** A number as it is typed, with a point or a comma; a comma before three digits could be either and is refused. */
function typed(text, units, usual) {
  const found = /^\s*([0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)\s*([a-zA-Z°%]*)\s*$/.exec(text);
  if (!found) return { refused: text.trim() ? `${text.trim()}: write a number such as 26 or 3.2, with a unit if it is another.` : 'Not filled in yet.' };
  if (/^[0-9]{1,3},[0-9]{3}$/.test(found[1])) return { refused: `${found[1]} can be read in two ways: write it without the comma, or with a point.` };
  const unit = found[2] || usual;
  if (!(unit in units)) return { refused: `${unit}: give ${Object.keys(units).join(', ')}.` };
  const value = Number(found[1].replace(',', '.')) * units[unit];
  return value > 0 && Number.isFinite(value) ? { value } : { refused: `${text.trim()}: it must be above 0.` };
}
const FORCES = { ...UNIT, N: 1, kg: G, lb: UNIT.lbf };
const MASSES = { kg: 1, t: 1000, lb: 0.45359237 };
const force = (text, unit) => typed(text, FORCES, unit);
const mass = (text) => typed(text, MASSES, 'kg');
/** A slope in degrees or percent, 0 on the level, as an angle. */
function slope(text) {
  if (/^\s*0*([.,]0*)?\s*(deg|°|%)?\s*$/.test(text)) return { value: 0 };
  const percent = /%\s*$/.test(text);
  const found = typed(text.replace('deg', '°'), { '°': 1, '%': 1 }, '°');
  if (found.refused) return found;
  const angle = percent ? Math.atan(found.value / 100) : (found.value * Math.PI) / 180;
  return angle <= Math.PI / 4 ? { value: angle } : { refused: `${text.trim()}: steeper than 45°; that is not for a card.` };
}
/** A force in a unit, rounded as everywhere: two decimals in kN, one from 20 kN; one more in t; none in kgf and lbf. */
function shown(value, unit) {
  const decimals = unit === 'kgf' || unit === 'lbf' ? 0 : (unit === 't' ? 3 : 2) - (value >= 19995 ? 1 : 0);
  return (value / UNIT[unit]).toFixed(decimals).replace(/\B(?=(\d{3})+(?!\d))/g, '\u2009');
}
/** The share to plan with: the upper end of its range, rounded up to a whole percent. */
const planned = (high) => Math.ceil(100 * high - 1e-9);
const percent = (share) => `${(100 * share).toFixed(1)} %`;
globalThis.pocket = { reckon, resistance, verdict, force, mass, slope, shown, run: (n, k, R) => RIGS[n](k, R), rigs: CARD.rigs };
