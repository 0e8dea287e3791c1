/** One pull at work: what was typed, its answers, and the way back from a choice. */
import { Answer } from '../../api/answer.svelte';
import { ask, Lost, Refused } from '../../api/ask';
import { Draft } from '../../state/draft.svelte';
import { keep } from '../../state/kept';
import { settings } from '../../state/settings.svelte';
import { asked, askedResistance, emptyBeside, emptyWhole, kept, missing, today, type KitDoc, type PullDoc, type Whole } from './doc';
import type { BookDocument, DocumentList, Kinds, PlanSheet, Resistance } from './records';

const MOST_BACK = 60;
export const NEW = 'new';

export class Work {
  readonly draft: Draft<Whole>;
  readonly resistance: Answer<Resistance>;
  readonly sheet: Answer<PlanSheet>;
  kinds = $state.raw<Kinds | null>(null);
  kits = $state.raw<DocumentList['documents']>([]);
  devices = $state.raw<DocumentList['documents']>([]);
  back = $state.raw<string[]>([]);
  forth = $state.raw<string[]>([]);
  /** What could not be read from the book, in its words. */
  trouble = $state.raw<Refused | null>(null);
  ready = $state(false);
  /** The book has another version than the one this was read as. */
  newer = $state(false);
  private lastPlan = '';
  private lastResistance = '';

  constructor(readonly name: string) {
    this.draft = new Draft<Whole>(`pull.${name}`, emptyWhole(settings.units));
    this.resistance = new Answer<Resistance>(`${settings.book}.pull.${name}.resistance`);
    this.sheet = new Answer<PlanSheet>(`${settings.book}.pull.${name}.sheet`);
  }

  get whole(): Whole {
    return this.draft.value;
  }
  get doc(): PullDoc {
    return this.draft.value.doc;
  }
  /** What was considered today. */
  get considered(): { safe: boolean; wait: boolean; dig: boolean; all: boolean } {
    const { safe, wait, dig, day } = this.whole.beside.considered;
    const now = day === today();
    return { safe: now && safe, wait: now && wait, dig: now && dig, all: now && safe && wait && dig };
  }
  consider(key: 'safe' | 'wait' | 'dig', on: boolean): void {
    const { safe, wait, dig } = this.considered;
    this.note((whole) => void (whole.beside.considered = { safe, wait, dig, day: today(), [key]: on }));
  }
  get lacks() {
    return missing(this.whole);
  }
  get plan() {
    return this.sheet.value?.plan ?? null;
  }
  get chosen() {
    const plan = this.plan;
    return plan?.candidates.find((one) => one.rig === plan.chosen) ?? null;
  }

  /** Read what stands in the book; what was typed here and not saved comes first. */
  async begin(): Promise<void> {
    this.trouble = null;
    const read = async <T>(question: Promise<T>): Promise<T | null> => {
      try {
        return await question;
      } catch (problem) {
        this.tell(problem);
        return null;
      }
    };
    const [kinds, kits, devices] = await Promise.all([
      read(ask<Kinds>('/api/plan/kinds')),
      read(ask<DocumentList>('/api/book/documents?kind=kit')),
      read(ask<DocumentList>('/api/book/documents?kind=devices')),
    ]);
    this.kinds = kinds;
    this.kits = kits?.documents ?? [];
    this.devices = devices?.documents ?? [];
    if (this.name !== NEW && !this.draft.changed) await this.open();
    else if (this.name !== NEW) await this.compare();
    const only = this.kits.length === 1 ? this.kits[0] : undefined;
    const named = typeof this.doc.kit === 'string' ? this.doc.kit || only?.name : undefined;
    if (named) await this.readKit(named);
    this.ready = true;
    this.update();
  }

  private async open(): Promise<void> {
    try {
      const found = await ask<BookDocument>(`/api/book/documents/pull/${encodeURIComponent(this.name)}`);
      const { rig, ...doc } = found.content ?? {};
      const beside = emptyBeside(settings.units);
      beside.rig = typeof rig === 'string' ? rig : null;
      if (typeof doc['kit'] === 'object') beside.kit = doc['kit'] as KitDoc;
      this.draft.value = { doc: tidy({ ...doc, ...found.beside }), beside, version: found.version };
    } catch (problem) {
      this.tell(problem);
    }
  }

  /** What the book refuses is said; a machine out of reach is said by the banner, and asked again when it is found. */
  private tell(problem: unknown): void {
    if (problem instanceof Refused) this.trouble = problem;
    else if (!(problem instanceof Lost)) throw problem;
  }

  /** Whether the book has a newer version than the one that is being changed here. */
  private async compare(): Promise<void> {
    try {
      const found = await ask<BookDocument>(`/api/book/documents/pull/${encodeURIComponent(this.name)}`);
      this.newer = found.version !== this.whole.version;
    } catch (problem) {
      this.tell(problem);
    }
  }

  /** The kit as it stands in the book now: quarantine and new marks count from the moment they are there. */
  private async readKit(name: string): Promise<void> {
    try {
      const found = await ask<BookDocument>(`/api/book/documents/kit/${encodeURIComponent(name)}`);
      this.setKit(this.draft.value, name, (found.content ?? {}) as KitDoc);
    } catch (problem) {
      this.tell(problem);
    }
  }
  private setKit(whole: Whole, name: string, content: KitDoc): void {
    whole.doc.kit = name;
    whole.beside.kit = content;
    const winches = content.winches ?? [];
    const known = whole.doc.winch.filter((one) => winches.some((two) => two.id === one.id));
    const first = winches[0];
    whole.doc.winch = known.length ? known : first ? [{ id: first.id, on: whole.doc.vehicle.name }] : [];
  }
  async takeKit(name: string): Promise<void> {
    try {
      const found = await ask<BookDocument>(`/api/book/documents/kit/${encodeURIComponent(name)}`);
      this.change((whole) => {
        this.setKit(whole, name, (found.content ?? {}) as KitDoc);
        delete whole.doc.want.leave_out;
      });
    } catch (problem) {
      this.tell(problem);
    }
  }
  takeFriction(name: string): void {
    this.change((whole) => {
      if (name) whole.doc.friction = name;
      else delete whole.doc.friction;
    });
  }

  /** A choice that can be taken back. */
  change(make: (whole: Whole) => void): void {
    this.back = [...this.back.slice(-MOST_BACK), JSON.stringify(this.whole)];
    this.forth = [];
    make(this.draft.value);
    this.draft.touch();
    this.update();
  }
  /** Typing and ticking: kept, and not part of the way back. */
  note(make: (whole: Whole) => void): void {
    make(this.draft.value);
    this.draft.touch();
  }
  undo(): void {
    this.travel('back', 'forth');
  }
  redo(): void {
    this.travel('forth', 'back');
  }
  private travel(from: 'back' | 'forth', to: 'back' | 'forth'): void {
    const last = this[from].at(-1);
    if (last === undefined) return;
    this[to] = [...this[to], JSON.stringify(this.whole)];
    this[from] = this[from].slice(0, -1);
    this.draft.set(JSON.parse(last) as Whole);
    this.update();
  }

  choose(rig: string): void {
    this.change((whole) => {
      whole.beside.rig = rig;
      whole.beside.ticks = {};
    });
  }

  /** Ask anew whatever has changed. */
  update(again = false): void {
    const wanted = askedResistance(this.whole);
    const { rule, own } = this.doc;
    const resistance = JSON.stringify([wanted, rule, own]);
    if (!wanted) this.resistance.forget();
    else if (again || resistance !== this.lastResistance || this.resistance.refusal) {
      this.resistance.ask((signal) => ask<Resistance>('/api/resistance', { json: { pull: wanted, ...(rule ? { rule } : {}), ...(own ? { own } : {}) }, signal }));
    }
    this.lastResistance = resistance;
    const rig = this.whole.beside.rig;
    const question = { pull: asked(this.whole), ...(rig ? { rig } : {}) };
    const plan = JSON.stringify(question);
    if (this.lacks.length) this.sheet.forget();
    else if (again || plan !== this.lastPlan || this.sheet.refusal) {
      this.sheet.ask((signal, onProgress) => ask<PlanSheet>('/api/plan/sheet', { json: question, signal, long: true, onProgress }));
    }
    this.lastPlan = this.lacks.length ? '' : plan;
  }

  /** Keep the pull in the book; the name it is kept under. */
  async save(name: string, by: string, why: string): Promise<string> {
    const version = name === this.name ? this.whole.version : null;
    const found = await ask<BookDocument>(`/api/book/documents/pull/${encodeURIComponent(name)}`, {
      method: 'PUT',
      json: { content: kept(this.whole), by, why, version },
    });
    this.note((whole) => void (whole.version = found.version));
    return found.name;
  }

  /** What was typed under `new` goes on under the name it was kept by. */
  handOver(name: string): void {
    keep(`draft.${settings.book}.pull.${name}`, this.whole);
    if (this.name === NEW) this.draft.clear(emptyWhole(settings.units));
  }

  /** Let go of what was typed, and read the book again. */
  async reread(): Promise<void> {
    this.draft.clear(emptyWhole(settings.units));
    this.newer = false;
    this.back = this.forth = [];
    await this.begin();
  }
}

/** A pull of the book in the shape this page edits: one form where the file allows several. */
function tidy(doc: Record<string, unknown>): PullDoc {
  const begin = emptyWhole('kN').doc;
  const winch = doc['winch'];
  const winches = (Array.isArray(winch) ? winch : winch === undefined ? [] : [winch]) as (string | { id: string; on?: string })[];
  const vehicle = { ...begin.vehicle, sunk: 'none', ...(doc['vehicle'] as object | undefined) };
  return {
    ...begin,
    ...doc,
    vehicle,
    ground: { ...begin.ground, ...(doc['ground'] as object | undefined) },
    site: { ...begin.site, ...(doc['site'] as object | undefined) },
    want: { ...begin.want, ...(doc['want'] as object | undefined) },
    winch: winches.map((one) => (typeof one === 'string' ? { id: one, on: vehicle.name } : { on: vehicle.name, ...one })),
  } as PullDoc;
}
