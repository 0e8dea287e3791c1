/** What stands behind each number: what it is, how it is worked out, where that comes from, what to beware of.
 *
 *  Formulas, house numbers and citations are those of the documentation and the catalogue; a test holds them together. */
export interface HelpText {
  title: string;
  what: string;
  formula: string;
  sources: readonly string[];
  cautions: readonly string[];
}

const STALL_TOO = 'Gear is judged at winch stall, never at the expected load: if the vehicle holds, the winch decides.';
const ESTIMATE = 'An estimate is not a rating. Local codes, the makers’ ratings and licensed people come first.';
const HOUSE = 'house number of this program';

export const help = {
  advantage: {
    title: 'Advantage',
    what: 'Load ÷ effort while the winch hauls: how many times its line pull the load feels, with friction.',
    formula: 'advantage = load ÷ effort. One rope with N parts on the load and S contacts between load and drum, all ratios k: (kᴺ − 1) ÷ (kˢ (k − 1)); a two-part 1 + 1 ÷ k.',
    sources: ['API RP 9B'],
    cautions: [STALL_TOO, 'It holds for these devices, this rope and the loads they were tested at.'],
  },
  idealAdvantage: {
    title: 'Ideal advantage',
    what: 'What the advantage would be without any friction. The same number tells how many metres of line are taken in for one metre of load travel.',
    formula: 'ideal advantage = load ÷ effort with every k = 1 = metres of line ÷ metre of load travel',
    sources: ['virtual work'],
    cautions: ['No rig reaches it. Friction always takes its share.'],
  },
  rigEfficiency: {
    title: 'Efficiency of the rig',
    what: 'The part of the ideal advantage that is left after friction.',
    formula: 'rig efficiency = advantage ÷ ideal advantage',
    sources: ['definition'],
    cautions: ['It is not the efficiency of one block: it falls with every contact of the rig.'],
  },
  winchShare: {
    title: 'Winch share',
    what: 'The part of the load that the winch has to pull.',
    formula: 'winch share = effort ÷ load = 1 ÷ advantage',
    sources: ['definition'],
    cautions: [STALL_TOO],
  },
  k: {
    title: 'Tension ratio k',
    what: 'What one contact costs while the line runs over it: the tension on the haul side by that on the other side. 1 would be no friction.',
    formula: 'k = haul-side tension ÷ other-side tension, 1 or more',
    sources: ['API RP 9B'],
    cautions: ['A measured k holds for the range of tension it was measured in. A published one is for blocks in general: yours may be worse.'],
  },
  efficiency: {
    title: 'Efficiency of a device',
    what: 'The part of the tension that a block or ring passes on.',
    formula: 'e = 1 ÷ k = other-side tension ÷ haul-side tension',
    sources: ['definition'],
    cautions: ['Friction never excuses smaller gear: loads are the greatest with or without it.'],
  },
  interval: {
    title: '± and the 95 % interval',
    what: 'Where the true value is believed to lie, with everything that is known to be able to be wrong. Its two sides need not be equal.',
    formula: 'u = root of the sum of the squares of all terms of the budget; interval = value ± t × u for 95 %',
    sources: ['JCGM 100:2008'],
    cautions: ['It holds only what is in the budget: nothing about another rope, another device or another day than those it came from.'],
  },
  budget: {
    title: 'Budget of uncertainty',
    what: 'Which thing makes the result how uncertain: scatter of the run, class of each cell, zero of each channel, clock offset.',
    formula: 'share of a term = its u² ÷ the sum of all u²; class of a cell: class ÷ √3',
    sources: ['JCGM 100:2008'],
    cautions: ['A cell without a class is taken as 0.5 % of reading, with a warning.'],
  },
  ratio: {
    title: 'Anchor ÷ line as read',
    what: 'Mean force of the anchor cell by mean force of the line cell over the steady stretch. Not the mean of the quotients.',
    formula: 'ratio = mean anchor ÷ mean line',
    sources: ['method of this program, tried on simulated runs of known truth'],
    cautions: ['What it says of the rig depends on where both cells hang: check the places.'],
  },
  scatter: {
    title: 'Scatter between set-ups',
    what: 'How much repeats of the same rig differ beyond what one run knows of itself.',
    formula: 'weights of repeats: 1 ÷ (u² + tau²), tau the scatter between runs',
    sources: ['JCGM 101'],
    cautions: ['With few repeats it is hardly known, and every interval says so by being wide.'],
  },
  steady: {
    title: 'Steady stretch',
    what: 'The part of a run that is averaged. Load decides first, then motion: a rope that stands still can hold any tension between hauling and letting back.',
    formula: '5 s running median of the line above 65 % of the working level; holds cut out; the settling left off',
    sources: ['method of this program, tried on simulated runs of known truth'],
    cautions: ['A static hold is not data, however steady it looks. A stretch set by hand keeps who, when and why.'],
  },
  clockOffset: {
    title: 'Clock offset',
    what: 'How much later this cell’s clock reads than the line cell’s at the same instant.',
    formula: 'clock offset = this channel’s stamp − the line channel’s stamp of the same instant, from the motion both saw, and from tugs',
    sources: ['method of this program, tried on simulated runs of known truth'],
    cautions: ['Its uncertainty counts in the budget as far as the load changed along the stretch.'],
  },
  zero: {
    title: 'Zero',
    what: 'What a cell read with nothing hanging on it, taken off every reading.',
    formula: 'zero = mean of the unloaded readings at both ends of the log',
    sources: ['method of this program, tried on simulated runs of known truth'],
    cautions: ['Without an unloaded stretch nothing is taken off; the budget carries the class of the cell over its whole range instead.'],
  },
  stall: {
    title: 'At stall',
    what: 'The most the winch pulls: what every piece sees if the vehicle does not move. Always shown beside the expected load.',
    formula: 'stall = rated line pull on layer 1 × D₁ ÷ Dᵢ for the lowest drum layer i met × stall factor',
    sources: ['NAVEDTRA 14081', 'Textbook statics of a drum'],
    cautions: ['Real winches can exceed their plate: the stall factor is yours to set.', 'The fewer layers on the drum, the harder it pulls.'],
  },
  load: {
    title: 'Load at a block or anchor',
    what: 'What the parts of line there pull together, as a vector. At a block nearly twice the line tension where both parts are parallel.',
    formula: '√(t₁² + t₂² − 2 t₁ t₂ cos wrap); wrap is 180° with parallel parts',
    sources: ['textbook statics'],
    cautions: ['The greatest with and without friction is taken: friction never excuses smaller gear.', STALL_TOO],
  },
  sidePull: {
    title: 'Side pull',
    what: 'Force on the load across the way it should go. Wheels or a guide must carry it.',
    formula: 'what is left of all lines on the load across its direction',
    sources: ['textbook statics'],
    cautions: ['Over 1 % of the resistance it is said in a warning. A shackle pulled from the side holds less than its mark.'],
  },
  resistance: {
    title: 'Resistance',
    what: 'The force that keeps the stuck vehicle moving. Every published rule that covers vehicle and ground stands beside the others; the one that asks most at its likely value is used.',
    formula: 'by rule; the range is at least ±30 % of the forces that enter',
    sources: ['each rule’s own source stands in its row', HOUSE],
    cautions: ['The rules disagree. Many are trade habit or from memory, and say so.', ESTIMATE],
  },
  breakout: {
    title: 'Breakout',
    what: 'The force that starts the vehicle. It can be well above what keeps it moving.',
    formula: 'taken as the high end of the resistance',
    sources: ['No published figure for breakout was found'],
    cautions: ['Suction counts only as far as you tell it. Dig it free, let air in under it, wait: then pull.'],
  },
  limit: {
    title: 'Limit',
    what: 'What a piece may carry here: its mark or your own limit with its source, less what its place in the rig takes off.',
    formula: 'WLL as it stands; MBS ÷ design factor, 2 where none is known; × each derating with its source',
    sources: [HOUSE],
    cautions: ['WLL and MBS are never compared with each other. No readable mark: unknown, and never treated as fine.'],
  },
  utilisation: {
    title: 'Utilisation',
    what: 'How much of its limit a piece carries.',
    formula: 'utilisation = load at stall ÷ limit; for the winch: effort at the high resistance ÷ line pull on the last layer met',
    sources: ['definition'],
    cautions: [STALL_TOO],
  },
  margin: {
    title: 'Verdict and margin',
    what: 'inside: up to 80 % of the limit. tight: over 80 %. over: more than the limit. unknown: no limit is known. A rig has the verdict of its worst piece.',
    formula: 'tight over 0.80 × limit',
    sources: [HOUSE],
    cautions: ['Unknown is never inside. A worn or wrongly marked piece is not seen from here: look at it.', ESTIMATE],
  },
  zone: {
    title: 'Where nobody stands',
    what: 'Every published distance stands in the list, and the largest counts, for the whole travel.',
    formula: 'largest published distance from every part; and at any distance: in line with a part up to 10°, inside a bend, between the vehicles, over a line',
    sources: [
      'U.S. off-road safety guide, recovery safety precautions',
      'Consumer advice on snatch straps of a four-wheel-drive club',
      'Fire-service vehicle rescue article',
      'Trucking trade article on winch pull',
      HOUSE,
    ],
    cautions: ['The rules disagree and none is a proof. In line and inside a bend no distance is safe.', 'Anyone may call stop, and stop means stop.'],
  },
  heat: {
    title: 'Heat',
    what: 'What friction turns into heat in a block, for each metre the load moves.',
    formula: 'heat = (haul-side − other-side tension) × line over the block, per metre of load travel',
    sources: ['Conservation of energy'],
    cautions: ['The warming told is the most there could be: nothing is taken to be given off. Fibre rope melts long before a block glows.'],
  },
  charge: {
    title: 'Charge and time',
    what: 'What the pull takes out of the battery, and how long it runs, from the maker’s table of the winch over the layers met.',
    formula: 'charge = current × time, summed along the travel, times the set-ups',
    sources: ['Definition of electric charge'],
    cautions: ['At hundreds of amperes a battery gives less than its marked capacity: what is left is an upper bound.', 'Without the maker’s table there is no number.'],
  },
  travel: {
    title: 'Travel and line',
    what: 'How far the load can go in one set-up: until blocks meet, or the drum is full. The line needed is its path at the start and the wraps that stay on.',
    formula: 'line taken in = ideal advantage × travel; line needed = path at the start + wraps that stay on the drum',
    sources: ['geometry of the rig'],
    cautions: ['Never run a drum below its least wraps. No gear is touched under tension: re-rig only when the line is slack and the vehicle is secured.'],
  },
  stretch: {
    title: 'Stretch and stored energy',
    what: 'How much longer a line gets under its tension, and what it would let go at once if anything parted.',
    formula: 'stretch = T L ÷ EA; energy = T² L ÷ (2 EA)',
    sources: ['Hooke’s law'],
    cautions: ['For a rope that is bedded in, at the load given. Elastic straps and ropes are never part of a rig here.'],
  },
  holding: {
    title: 'Holding and letting back',
    what: 'Standing still, friction can be on either side: any effort between letting back and hauling holds the load.',
    formula: 'from the effort with every k turned round (letting back) to the effort of hauling',
    sources: ['textbook statics'],
    cautions: ['A reading taken while the line stands still says little of friction.'],
  },
  lightTension: {
    title: 'Readings under light tension',
    what: 'Two readings before the pull, held against the rig as drawn: a wrong path, exchanged cells or a block that does not turn can show.',
    formula: 'anchor ÷ line as read, with ± for zero and class, against the range the rig allows',
    sources: ['textbook statics', HOUSE],
    cautions: ['A block that does not turn can hide while the rig stands still.', 'Suspect or more than planned: stop, slacken, look.'],
  },
  difference: {
    title: 'Same or different',
    what: 'The advantages of two devices in the same rig, one by the other, against the margin the campaign named before the test. Neither shown: undecided, with the pulls that would tell.',
    formula: 'different: |D| > t₀.₉₇₅ s; the same within the margin m: |D| + t₀.₉₅ s < ln(1 + m); D is the difference of the logarithms, s its standard error',
    sources: ['Schuirmann 1987', 'Holm 1979'],
    cautions: ['No difference shown is not the same as no difference: it may be too few pulls.', 'It holds for the rope, load and place of the test.'],
  },
  runsNeeded: {
    title: 'How many pulls',
    what: 'Pulls of each device for a chance of 80 % to show the difference you want to see, or to show two devices the same within the margin.',
    formula: 'n ≥ 2 ((t₀.₉₇₅ + t₀.₈₀) s ÷ D)²; the same within m: n ≥ 2 ((t₀.₉₅ + t₀.₉₀) s ÷ m)²; s is the standard deviation of one pull',
    sources: ['Cochran & Cox 1957', 'Schuirmann 1987'],
    cautions: ['The scatter is known only after some pulls: reckon again in the field.'],
  },
  marks: {
    title: 'What the cells should read',
    what: 'The range of each reading for the low to the high resistance, and the reading at which to stop before anything is over its limit.',
    formula: 'tensions of the rig at the low and the high resistance; stop at the share of its limit a piece may carry, at the winch’s line pull on the last layer, or at the high resistance',
    sources: ['textbook statics', HOUSE],
    cautions: [STALL_TOO, 'A reading above the range is a reason to stop and look, never to pull on.'],
  },
  seen: {
    title: 'Seen against foretold',
    what: 'What moved the vehicle, from the reading of the line or the anchor, by what each rule had said.',
    formula: 'ratio = resistance seen ÷ likely value of the rule; resistance seen = line reading × advantage',
    sources: ['definition'],
    cautions: ['One pull says little of the next. A pull that did not move the vehicle gives a least value only.'],
  },
  likely: {
    title: 'Likely conditions',
    what: 'Of 2,000 drawn conditions of ground, friction, places and winch: the share in which every rated piece stays inside its limit.',
    formula: 'count of draws inside ÷ draws; the stall case is counted beside it',
    sources: ['JCGM 101:2008', HOUSE],
    cautions: ['It is no chance that nothing breaks: whether an anchor holds, what is worn or wrongly marked and how the pull is made are not in it.'],
  },
  dueDate: {
    title: 'Due',
    what: 'When a piece is to be inspected or a cell calibrated next, as you or its certificate said.',
    formula: 'the date that was entered, against today',
    sources: ['your own entry'],
    cautions: ['A piece that is due is still planned with, and named. Quarantine sets it aside.'],
  },
} as const satisfies Record<string, HelpText>;

export type Topic = keyof typeof help;
