/** One rig at work: what was drawn, the sheet the machine makes of it, and the way back. */
import { Answer } from '../../api/answer.svelte';
import { ask, Lost, Refused } from '../../api/ask';
import { Draft } from '../../state/draft.svelte';
import { pair } from '../../figures';
import { settings } from '../../state/settings.svelte';
import { bare, begun, fresh, withStall } from './doc';
import type { BookDocument, DevicesDoc, Frame, Listed, PlaceOnSheet, RigDoc, RigFile, RigSheet, Sheave } from './records';

export const NEW = 'new';
export const draftKey = (name: string, source = '') => (name === NEW ? `rig.new.${source}` : `rig.${name}`);
const MOST_BACK = 80;
const NUDGE_ms = 900;
const ABREAST = 2;
const DRAW_ms = 150; // from a move to the drawing that shows it

interface Kept {
  doc: RigDoc;
  /** The version of the book this was read as; null: it is not in the book. */
  version: number | null;
}
interface Move {
  name: string;
  to_m: [number, number];
}
/** What taps on the ground mean: choose and drag; lead a line; put something down. */
export type Tool = 'look' | 'lead' | 'anchor' | 'floating';

export class Work {
  readonly draft: Draft<Kept>;
  readonly sheet = new Answer<RigSheet>();
  /** Questions for the numbers alone that are under way while something is dragged: they are there before the drawing. */
  private underWay = 0;
  private onceMore = false;
  /** The newest numbers, of either. */
  figures = $state.raw<RigSheet | null>(null);
  /** The unit the drawing speaks: while the machine is away it stays in it, whatever is chosen on top. */
  drawnIn = $state(settings.units);
  private asking = 0;
  private figured = 0;
  private later: ReturnType<typeof setTimeout> | undefined;
  chosen = $state<string | null>(null);
  tool = $state<Tool>('look');
  /** Points of the line that is being led, from the drum. */
  led = $state.raw<string[]>([]);
  /** Its first point carries one more winch. */
  another = $state(false);
  ghost = $state(false);
  back = $state.raw<string[]>([]);
  forth = $state.raw<string[]>([]);
  trouble = $state.raw<Refused | null>(null);
  ready = $state(false);
  sheaves = $state.raw<Sheave[]>([]);
  devices = $state.raw<{ name: string; k: string; campaign: string }[]>([]);
  private frame: Frame | null = null;
  private fit = true;
  private width = 0;
  private moving: Move | null = null;
  private leading: string[] | null = null;
  /** The move under way was let go of, or the line ended: what comes back becomes the rig. */
  private done = false;
  private nudged = { name: '', at: 0 };

  /** `source`: of a new rig, the name or line it begins with; each has a draft of its own, so that none replaces another. */
  constructor(
    readonly name: string,
    private readonly source: string = '',
  ) {
    this.draft = new Draft<Kept>(draftKey(name, source), { doc: bare(settings.units), version: null });
  }

  get doc(): RigDoc {
    return this.draft.value.doc;
  }
  /** The sheet as it is shown: of this rig, or the last one while the machine is out of reach. */
  get shown(): RigSheet | null {
    return this.sheet.value;
  }
  place(of: string): PlaceOnSheet | undefined {
    return this.shown?.places.find((one) => one.of === of);
  }
  get fileUnit(): { force: string | undefined; length: string | undefined } {
    return { force: this.doc.units?.['force'], length: this.doc.units?.['length'] };
  }

  /** Read the rig: what was drawn here and not saved comes first, then the book, a named rig, a line of notation. */
  async begin(): Promise<void> {
    try {
      await this.read();
    } catch (problem) {
      if (!(problem instanceof Refused)) throw problem;
      this.trouble = problem;
    }
    this.ready = true;
    this.update();
    void this.readFrictions();
  }

  private async read(): Promise<void> {
    if (this.draft.changed) return;
    if (this.name !== NEW) await this.open();
    else if (this.source) await this.take(this.source);
  }

  /** Let go of what was changed here, and begin with what stands in the book, or with the rig of that name. */
  async beginAgain(): Promise<void> {
    this.remember();
    const [back, at] = [this.back, JSON.stringify(this.doc)];
    this.draft.clear({ doc: bare(settings.units), version: null });
    try {
      await this.read();
      this.trouble = null;
    } catch (problem) {
      if (!(problem instanceof Refused)) this.draft.set({ doc: JSON.parse(at) as RigDoc, version: null });
      if (problem instanceof Refused) this.trouble = problem;
    }
    this.back = back;
    this.chosen = null;
    this.fit = true;
    this.update();
  }

  private async take(words: string): Promise<void> {
    const file = await ask<RigFile>('/api/rig/file', { json: { rig: words, lay_out: true } });
    this.draft.set({ doc: begun(file.mapping, settings.units), version: null });
  }

  private async open(): Promise<void> {
    const found = await ask<BookDocument<RigDoc>>(`/api/book/documents/rig/${encodeURIComponent(this.name)}`);
    this.draft.value = { doc: found.content ?? bare(settings.units), version: found.version };
  }

  private async readFrictions(): Promise<void> {
    try {
      this.sheaves = (await ask<{ sheaves: Sheave[] } & RigFile>('/api/rig/sheaves')).sheaves;
      const listed = await ask<{ documents: Listed[] } & RigFile>('/api/book/documents?kind=devices');
      const found = await Promise.all(
        listed.documents.map(async (one) => {
          const read = await ask<BookDocument<DevicesDoc>>(`/api/book/documents/devices/${encodeURIComponent(one.name)}`);
          return Object.entries(read.content?.devices ?? {}).map(([name, device]) => ({ name, k: ratioText(device), campaign: one.name }));
        }),
      );
      this.devices = found.flat();
    } catch (problem) {
      if (problem instanceof Refused) this.trouble = problem;
    }
  }

  /** The drawing has this much room [px]. */
  room(width: number): void {
    if (Math.abs(width - this.width) < 1) return;
    this.width = width;
    this.fit = true;
    this.update();
  }

  // --- the sheet
  update(): void {
    if (!this.ready || this.width === 0) return;
    if (this.moving && !this.done) {
      void this.askNumbers();
      this.later ??= setTimeout(() => this.draw(), DRAW_ms); // a drawing holds the page up: fewer of them than of numbers
    } else this.draw();
  }

  /** Ask for the numbers alone, two questions abreast: the machine works at one while the other is on its way. */
  private async askNumbers(): Promise<void> {
    if (this.underWay >= ABREAST) {
      this.onceMore = true;
      return;
    }
    this.onceMore = false;
    this.underWay++;
    const turn = ++this.asking;
    try {
      this.figure(await ask<RigSheet>('/api/rig/sheet', { json: { ...this.question(), draw: false } }), turn);
    } catch (problem) {
      if (!(problem instanceof Refused || problem instanceof Lost)) throw problem; // the drawing tells of these
    } finally {
      this.underWay--;
    }
    if (this.onceMore && this.moving) void this.askNumbers();
  }

  private draw(): void {
    clearTimeout(this.later);
    this.later = undefined;
    this.sheet.ask(async (signal) => {
      const asked = this.asked();
      const done = this.done;
      const turn = ++this.asking;
      const unit = settings.units;
      try {
        const answer = await ask<RigSheet>('/api/rig/sheet', { json: asked, signal });
        this.figure(answer, turn);
        this.drawnIn = unit;
        if (answer.frame) this.frame = answer.frame;
        if (done && answer.mapping) this.commit(answer.mapping, asked.move ?? null);
        return answer;
      } catch (problem) {
        if (problem instanceof Refused && done) this.moving = this.leading = null; // it cannot be put or led there
        throw problem;
      }
    });
  }

  /** Numbers that were asked for later are never replaced by earlier ones; rows keep the names of the drawing. */
  private figure(answer: RigSheet, turn: number): void {
    if (turn < this.figured) return;
    this.figured = turn;
    const names = new Map(this.sheet.value?.loads.map((row) => [row.of, row.name]));
    this.figures = answer.drawing ? answer : { ...answer, loads: answer.loads.map((row) => ({ ...row, name: names.get(row.of) ?? row.name })) };
  }

  private question() {
    return {
      rig: $state.snapshot(this.doc) as RigDoc,
      ...(this.moving ? { move: this.moving } : {}),
      ...(this.leading ? { lead: this.leading, another_winch: this.another } : {}),
    };
  }

  private asked() {
    const kept = this.fit ? null : this.frame;
    this.fit = false;
    return {
      ...this.question(),
      size: this.width < 640 ? 'phone' : 'laptop',
      width: Math.min(Math.max(Math.floor(this.width), 320), 1600),
      ghost: this.ghost,
      ...(kept ? { frame: kept } : {}),
    };
  }

  private commit(doc: RigDoc, move: Move | null): void {
    const again = move !== null && this.nudged.name === move.name && Date.now() - this.nudged.at < NUDGE_ms;
    if (!again) this.remember();
    if (move !== null) this.nudged = { name: move.name, at: Date.now() };
    const led = this.leading !== null;
    if (this.leading && this.another) this.chosen = `body:${this.leading[0]}`; // what it pulls is asked there
    this.another = false;
    this.moving = this.leading = null;
    this.done = false;
    const stated = led ? withStall(doc, settings.units) : doc;
    this.draft.set({ ...this.draft.value, doc: stated });
    if (stated !== doc) this.update(); // a winch came: its stall stands beside from now on
  }

  private remember(): void {
    this.back = [...this.back.slice(-MOST_BACK), JSON.stringify(this.doc)];
    this.forth = [];
  }

  // --- changes
  /** A change of the rig that can be taken back; `anew`: the sheet is laid out anew. */
  change(doc: RigDoc, anew = false): void {
    this.remember();
    this.nudged = { name: '', at: 0 };
    this.draft.set({ ...this.draft.value, doc });
    this.fit ||= anew;
    this.update();
  }

  /** Something is being dragged: every number follows. */
  drag(name: string, to_m: [number, number]): void {
    this.nudged = { name: '', at: 0 };
    this.moving = { name, to_m };
    this.done = false;
    this.update();
  }
  /** It was let go of. */
  drop(anew: boolean): void {
    if (!this.moving) return;
    this.done = true;
    this.fit ||= anew;
    this.update();
  }
  /** The drag was broken off. */
  letGo(): void {
    this.moving = null;
    this.update();
  }
  /** A step with the keys, from where it stands or was last put. */
  nudge(name: string, by_m: [number, number], from_m: [number, number]): void {
    const at = this.moving?.name === name ? this.moving.to_m : from_m;
    this.moving = { name, to_m: [at[0] + by_m[0], at[1] + by_m[1]] };
    this.done = true;
    this.update();
  }

  /** Put down what the tool holds, at a place on the ground [m]. */
  put(at_m: [number, number]): void {
    const at = at_m.map((x) => `${x.toFixed(2)} m`);
    const doc = this.doc;
    if (this.tool === 'anchor') {
      const name = fresh(doc, 'tree');
      this.change({ ...doc, anchors: { ...doc.anchors, [name]: { at } } });
      this.chosen = `body:${name}`;
    } else {
      const name = fresh(doc, 'M');
      this.change({ ...doc, mode: 'ground', blocks: { ...doc.blocks, [name]: { floating: true, near: at } } });
      this.chosen = `body:${name}`;
    }
    this.tool = 'look';
  }

  /** End the line that is being led. */
  lead(): void {
    if (this.led.length < 2) return;
    this.leading = this.led;
    this.led = [];
    this.tool = 'look';
    this.done = true;
    this.fit = true;
    this.update();
  }

  undo(): void {
    this.travel('back', 'forth');
  }
  redo(): void {
    this.travel('forth', 'back');
  }
  private travel(from: 'back' | 'forth', to: 'back' | 'forth'): void {
    const doc = this[from].at(-1);
    if (doc === undefined) return;
    this[to] = [...this[to], JSON.stringify(this.doc)];
    this[from] = this[from].slice(0, -1);
    this.nudged = { name: '', at: 0 };
    this.draft.set({ ...this.draft.value, doc: JSON.parse(doc) as RigDoc });
    this.fit = true;
    this.update();
  }

  layOutAnew(): void {
    this.fit = true;
    this.update();
  }
  toggleGhost(): void {
    this.ghost = !this.ghost;
    this.update();
  }

  /** The rig in line laid out on the ground. */
  async layOut(): Promise<void> {
    const file = await ask<RigFile>('/api/rig/file', { json: { rig: $state.snapshot(this.doc), lay_out: true } });
    this.change(file.mapping, true);
  }

  /** As a file and in one line. */
  file(): Promise<RigFile> {
    return ask<RigFile>('/api/rig/file', { json: { rig: $state.snapshot(this.doc) } });
  }

  /** Keep it in the book; the version it was read as guards what another changed meanwhile. */
  async save(name: string, by: string, why: string): Promise<void> {
    const same = name === this.name;
    const doc = { ...($state.snapshot(this.doc) as RigDoc), rig: name };
    const found = await ask<BookDocument<RigDoc>>(`/api/book/documents/rig/${encodeURIComponent(name)}`, {
      method: 'PUT',
      json: { content: doc, by, why, version: same ? this.draft.value.version : null },
    });
    if (same) this.draft.clear({ doc, version: found.version });
    else this.draft.clear();
  }
}

/** k of a measured device with half its 95 % interval, as a rig file takes it. */
function ratioText(device: { k: number; u?: number; interval95?: [number, number] }): string {
  if (!device.interval95) return `${device.k}`;
  return pair({ value: device.k, u: device.u ?? 0, interval95: device.interval95 }, 1, 2).join(' ± ');
}
