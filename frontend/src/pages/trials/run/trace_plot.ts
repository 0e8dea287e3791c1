/** Both traces and their ratio, drawn by uPlot in the look of the sheet. It places pixels; every number is given to it. */
import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import { newtonsPer, number, type ForceUnit } from '../../../figures';
import type { Cut, Span, Traces } from './records';
import { forceTable, ratioTable, ticks, timeStep, timeWords } from './scale';
import { hatching, type Ink } from './trace_ink';

/** What is drawn over the traces. */
export interface Marks {
  steady: Span[];
  cuts: Cut[];
  /** Words at each trace, by place. */
  names: Record<string, string>;
  frictionless: { at: number; words: string } | null;
}
export interface Frame {
  width: number;
  forces: number;
  ratio: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
}
const WEIGHT: Record<string, number> = { anchor: 2.4, line: 1.2 };
const OTHER_WEIGHT = 1.7;
const GAP = 26; // between the two panels [px]

export class TracePlot {
  private forces: uPlot | null = null;
  private ratio: uPlot | null = null;
  private strokes = new Map<string, uPlot.Series.Paths>();
  private pattern: CanvasPattern | string = 'transparent';
  private places: string[] = [];
  private low = 0;
  private high = 1;
  private ratioLow = 0;
  private ratioHigh = 1;
  private shown: Traces | null = null;
  private table: uPlot.AlignedData = [[], []];
  private ratios: uPlot.AlignedData = [[], []];

  constructor(
    private readonly upper: HTMLElement,
    private readonly lower: HTMLElement,
    private whole: Traces,
    private frame: Frame,
    private ink: Ink,
    private unit: ForceUnit,
    private marks: Marks,
    private from_s: number,
    private to_s: number,
  ) {
    this.make();
  }

  /** Begin anew with another frame, ink, unit or log. */
  remake(whole: Traces, frame: Frame, ink: Ink, unit: ForceUnit): void {
    Object.assign(this, { whole, frame, ink, unit });
    this.make();
  }

  destroy(): void {
    this.forces?.destroy();
    this.ratio?.destroy();
    this.forces = this.ratio = null;
  }

  setMarks(marks: Marks): void {
    this.marks = marks;
    const before = `${this.ratioLow} ${this.ratioHigh}`;
    this.ratioRange();
    this.forces?.redraw(false);
    if (`${this.ratioLow} ${this.ratioHigh}` === before) this.ratio?.redraw(false);
    else this.ratio?.setData(this.ratios, true); // takes the new range up
    this.look(this.from_s, this.to_s);
  }

  private ratioRange(): void {
    const seen = this.whole.ratio_range;
    if (!seen) return;
    const ideal = this.marks.frictionless?.at;
    const low = Math.min(seen[0], ideal ?? Infinity);
    const high = Math.max(seen[1], ideal ?? -Infinity);
    const pad = Math.max(high - low, 0.1);
    this.ratioLow = low - 0.25 * pad;
    this.ratioHigh = high + 0.3 * pad;
  }

  /** Show these traces: the whole log, or a closer look at a part of it. */
  show(traces: Traces): void {
    if (traces === this.shown) return;
    this.load(traces);
    this.forces?.setData(this.table, false);
    this.ratio?.setData(this.ratios, false);
    this.look(this.from_s, this.to_s);
  }

  look(from_s: number, to_s: number): void {
    this.from_s = from_s;
    this.to_s = to_s;
    for (const plot of [this.forces, this.ratio]) plot?.setScale('x', { min: from_s, max: to_s });
  }

  private load(traces: Traces): void {
    this.shown = traces;
    this.table = forceTable(traces, this.places, newtonsPer(this.unit));
    this.ratios = ratioTable(traces);
  }

  private make(): void {
    this.destroy();
    const { whole, frame } = this;
    this.places = Object.keys(whole.channels).sort((a, b) => (WEIGHT[a] ?? OTHER_WEIGHT) - (WEIGHT[b] ?? OTHER_WEIGHT));
    const per = newtonsPer(this.unit);
    const least = whole.least_N / per;
    const greatest = whole.greatest_N / per;
    this.low = Math.min(0, least) - 0.012 * (greatest - least);
    this.high = greatest + (greatest - least) * (30 / (frame.forces - 40)); // room for a row of words
    this.ratioRange();
    this.pattern = hatching(this.ink, devicePixelRatio);
    this.load(this.shown && Object.keys(this.shown.channels).length === this.places.length ? this.shown : whole);
    this.forces = new uPlot(
      this.options('forces', frame.forces, frame.top, whole.ratio ? 4 : frame.bottom, this.places),
      this.table,
      this.upper,
    );
    this.ratio = whole.ratio
      ? new uPlot(this.options('ratio', frame.ratio, GAP, frame.bottom, ['ratio']), this.ratios, this.lower)
      : null;
    this.look(this.from_s, this.to_s);
  }

  private options(kind: 'forces' | 'ratio', height: number, top: number, bottom: number, names: string[]): uPlot.Options {
    const { frame, ink } = this;
    const linear = uPlot.paths.linear?.();
    const keep = (name: string): uPlot.Series.PathBuilder => (plot, series, from, to) => {
      const path = linear?.(plot, series, from, to) ?? null;
      if (path) this.strokes.set(name, path);
      else this.strokes.delete(name);
      return path;
    };
    return {
      width: frame.width,
      height,
      padding: [top, frame.right, bottom, frame.left],
      legend: { show: false },
      cursor: { show: false },
      scales: {
        x: { time: false, range: (_, min, max) => [min, max] },
        y: { range: () => (kind === 'forces' ? [this.low, this.high] : [this.ratioLow, this.ratioHigh]) },
      },
      axes: [{ show: false }, { show: false }],
      series: [
        {},
        ...names.map((name) => ({
          stroke: ink.light,
          width: kind === 'ratio' ? 1.2 : (WEIGHT[name] ?? OTHER_WEIGHT),
          points: { show: false },
          spanGaps: false,
          paths: keep(name),
        })),
      ],
      hooks: {
        drawClear: [(plot) => this.under(plot, kind)],
        draw: [(plot) => this.over(plot, kind, names)],
      },
    };
  }

  /** What lies below the traces: wash, hatching, grid, axes. */
  private under(plot: uPlot, kind: 'forces' | 'ratio'): void {
    const { ctx, bbox } = plot;
    const { ink } = this;
    const px = devicePixelRatio;
    ctx.save();
    ctx.beginPath();
    ctx.rect(bbox.left, 0, bbox.width, plot.height * px);
    ctx.clip();
    const top = kind === 'forces' ? bbox.top : 0; // one field over both panels
    const high = kind === 'forces' ? plot.height * px - top : bbox.top + bbox.height;
    const span = (one: Span, fill: CanvasPattern | string) => {
      const a = plot.valToPos(one.start_s, 'x', true);
      const b = plot.valToPos(one.end_s, 'x', true);
      ctx.fillStyle = fill;
      ctx.fillRect(a, top, b - a, high);
    };
    for (const one of this.marks.steady) span(one, ink.wash);
    for (const one of this.marks.cuts) span(one, this.pattern);
    ctx.strokeStyle = ink.grid;
    ctx.lineWidth = ink.hair * px;
    const step = timeStep(this.to_s - this.from_s, this.room());
    for (const at of this.times(step)) {
      const x = Math.round(plot.valToPos(at, 'x', true)) + 0.5;
      stroke(ctx, x, top, x, top + high);
    }
    ctx.restore();
    ctx.save();
    const [low, highest] = kind === 'forces' ? [Math.min(0, this.low), this.high] : [this.ratioLow, this.ratioHigh];
    const most = Math.max(2, Math.floor(bbox.height / px / (kind === 'forces' ? 44 : 26)));
    ctx.font = `${ink.note * px}px ${ink.face}`;
    ctx.textBaseline = 'middle';
    ctx.textAlign = 'right';
    for (const at of ticks(low, highest, most)) {
      const y = Math.round(plot.valToPos(at, 'y', true)) + 0.5;
      if (y < bbox.top + (kind === 'forces' ? 4 * px : 0) || y > bbox.top + bbox.height) continue;
      ctx.strokeStyle = kind === 'forces' && at === 0 ? ink.ink : ink.grid;
      ctx.lineWidth = ink.hair * px;
      stroke(ctx, bbox.left, y, bbox.left + bbox.width, y);
      ctx.fillStyle = ink.second;
      ctx.fillText(number(at, decimals(at)), bbox.left - 7 * px, y);
    }
    ctx.strokeStyle = ink.ink;
    ctx.lineWidth = 1.2 * px;
    stroke(ctx, bbox.left, bbox.top, bbox.left, bbox.top + bbox.height);
    if (kind === 'ratio' || !this.whole.ratio) this.timeAxis(plot, step);
    ctx.restore();
  }

  private room(): number {
    return Math.max(2, (this.frame.width - this.frame.left - this.frame.right) / 82);
  }

  private times(step: number): number[] {
    const found: number[] = [];
    for (let n = Math.ceil(this.from_s / step - 1e-9); n * step <= this.to_s + 1e-9; n += 1) found.push(n * step);
    return found;
  }

  private timeAxis(plot: uPlot, step: number): void {
    const { ctx, bbox } = plot;
    const { ink } = this;
    const px = devicePixelRatio;
    const y = bbox.top + bbox.height;
    stroke(ctx, bbox.left, y, bbox.left + bbox.width, y);
    ctx.fillStyle = ink.second;
    ctx.textBaseline = 'top';
    let taken = -Infinity;
    for (const at of this.times(step)) {
      const words = timeWords(at, step);
      const x = plot.valToPos(at, 'x', true);
      stroke(ctx, x, y, x, y + 4 * px);
      const half = ctx.measureText(words).width / 2;
      const middle = Math.min(Math.max(x, half), plot.width * px - half - px);
      if (middle - half < taken + 6 * px) continue;
      taken = middle + half;
      ctx.textAlign = 'center';
      ctx.fillText(words, middle, y + 7 * px);
    }
  }

  /** What lies above them: the steady part in ink, names, words of cuts, the line of no friction. */
  private over(plot: uPlot, kind: 'forces' | 'ratio', names: string[]): void {
    const { ctx, bbox } = plot;
    const { ink } = this;
    const px = devicePixelRatio;
    ctx.save();
    ctx.beginPath();
    for (const one of this.marks.steady) {
      const a = plot.valToPos(one.start_s, 'x', true);
      const b = plot.valToPos(one.end_s, 'x', true);
      ctx.rect(a, bbox.top, b - a, bbox.height);
    }
    ctx.clip();
    ctx.beginPath();
    ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.clip();
    for (const name of names) {
      const path = this.strokes.get(name);
      if (!path?.stroke) continue;
      ctx.save();
      if (path.clip) ctx.clip(path.clip as Path2D);
      ctx.strokeStyle = ink.ink;
      ctx.lineWidth = (kind === 'ratio' ? 1.4 : (WEIGHT[name] ?? OTHER_WEIGHT)) * px;
      ctx.lineJoin = 'round';
      ctx.stroke(path.stroke as Path2D);
      ctx.restore();
    }
    ctx.restore();
    ctx.save();
    ctx.textAlign = 'left';
    if (kind === 'forces') {
      this.nameTraces(plot, names);
      this.cutWords(plot);
    } else this.noFriction(plot);
    ctx.restore();
  }

  private nameTraces(plot: uPlot, names: string[]): void {
    const { ctx, bbox } = plot;
    const px = devicePixelRatio;
    ctx.font = `600 ${this.ink.label * px}px ${this.ink.face}`;
    ctx.textBaseline = 'alphabetic';
    const start = this.marks.steady[0]?.start_s ?? this.from_s;
    const seen = Math.max(start, this.from_s);
    const placed: [number, number][] = [];
    for (const name of [...names].reverse()) {
      const words = this.marks.names[name] ?? name;
      const wide = ctx.measureText(words).width;
      const from = plot.valToPos(seen, 'x', true) + 12 * px;
      const x = Math.max(bbox.left + 6 * px, Math.min(from, bbox.left + bbox.width - wide - 4 * px));
      const near = this.rangeOf(name, plot.posToVal((x - bbox.left) / px, 'x'), plot.posToVal((x + wide - bbox.left) / px, 'x'));
      if (!near) continue;
      const tall = this.ink.label * px;
      const above = plot.valToPos(near[1], 'y', true) - 8 * px;
      const below = plot.valToPos(near[0], 'y', true) + tall + 4 * px;
      const free = (y: number) => y - tall > bbox.top + 1 && y < bbox.top + bbox.height - 2 && placed.every(([a, b]) => y < a || y - tall > b);
      const y = free(above) ? above : below;
      placed.push([Math.min(y - tall, plot.valToPos(near[1], 'y', true)), Math.max(y, plot.valToPos(near[0], 'y', true))]);
      this.halo(ctx, words, x, y, this.ink.ink);
    }
  }

  /** Least and greatest of a trace between two instants. */
  private rangeOf(name: string, from_s: number, to_s: number): [number, number] | null {
    const x = this.table[0] as number[];
    const y = this.table[1 + this.places.indexOf(name)] as (number | null | undefined)[] | undefined;
    if (!y) return null;
    let low = Infinity;
    let high = -Infinity;
    for (let n = after(x, from_s); n < x.length && (x[n] ?? Infinity) <= to_s; n += 1) {
      const value = y[n];
      if (value === null || value === undefined) continue;
      low = Math.min(low, value);
      high = Math.max(high, value);
    }
    return high >= low ? [low, high] : null;
  }

  private cutWords(plot: uPlot): void {
    const { ctx, bbox } = plot;
    const px = devicePixelRatio;
    ctx.font = `600 ${this.ink.note * px}px ${this.ink.face}`;
    ctx.textBaseline = 'top';
    let taken = -Infinity;
    for (const cut of this.marks.cuts) {
      const wide = ctx.measureText(cut.word).width;
      const middle = (plot.valToPos(cut.start_s, 'x', true) + plot.valToPos(cut.end_s, 'x', true)) / 2;
      if (middle < bbox.left || middle > bbox.left + bbox.width) continue;
      const x = Math.max(bbox.left + 4 * px, Math.min(middle - wide / 2, bbox.left + bbox.width - wide - 4 * px));
      if (x < taken + 8 * px) continue;
      taken = x + wide;
      this.halo(ctx, cut.word, x, bbox.top + 5 * px, this.ink.ink);
    }
  }

  private noFriction(plot: uPlot): void {
    const { ctx, bbox } = plot;
    const line = this.marks.frictionless;
    const px = devicePixelRatio;
    if (!line) return;
    const y = plot.valToPos(line.at, 'y', true);
    if (y < bbox.top || y > bbox.top + bbox.height) return;
    ctx.strokeStyle = this.ink.ink;
    ctx.lineWidth = 1.6 * px;
    ctx.setLineDash([7 * px, 4 * px]);
    stroke(ctx, bbox.left, y, bbox.left + bbox.width, y);
    ctx.setLineDash([]);
    ctx.font = `${this.ink.note * px}px ${this.ink.face}`;
    ctx.textBaseline = 'alphabetic';
    this.halo(ctx, line.words, bbox.left + 6 * px, y - 5 * px, this.ink.second);
  }

  private halo(ctx: CanvasRenderingContext2D, words: string, x: number, y: number, fill: string): void {
    ctx.lineWidth = 5 * devicePixelRatio;
    ctx.lineJoin = 'round';
    ctx.strokeStyle = this.ink.paper;
    ctx.strokeText(words, x, y);
    ctx.fillStyle = fill;
    ctx.fillText(words, x, y);
  }
}

function stroke(ctx: CanvasRenderingContext2D, x0: number, y0: number, x1: number, y1: number): void {
  ctx.beginPath();
  ctx.moveTo(x0, y0);
  ctx.lineTo(x1, y1);
  ctx.stroke();
}

/** Index of the first instant not before `at`. */
function after(x: readonly number[], at: number): number {
  let low = 0;
  let high = x.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((x[middle] ?? Infinity) < at) low = middle + 1;
    else high = middle;
  }
  return low;
}

function decimals(at: number): number {
  const text = String(Number(at.toPrecision(6)));
  return text.includes('.') ? (text.split('.')[1] ?? '').length : 0;
}
