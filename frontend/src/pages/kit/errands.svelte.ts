/** Changes to the book, one after the other. While the machine is out of reach they wait on this device, also over a
 *  reload; none is asked twice once it was answered. */
import { ask, Lost, Refused, type AnyRecord } from '../../api/ask';
import { drop, dropFiles, keep, keepFiles, kept, keptFiles } from '../../state/kept';
import { reach } from '../../state/reach.svelte';
import { settings } from '../../state/settings.svelte';
import { smaller } from './photos';

export interface Errand {
  /** What is done, in words. */
  words: string;
  path: string;
  method: 'POST' | 'PUT' | 'DELETE';
  json?: unknown;
  /** Key of a file kept on this device that is sent. */
  file?: string;
}

class Errands {
  waiting = $state<Errand[]>([]);
  refusal = $state.raw<Refused | null>(null);
  /** What the book answered last: the document as it is now. */
  answer = $state.raw<AnyRecord | null>(null);
  /** Grows with each change that is kept in the book. */
  done = $state(0);
  private working: Promise<void> | null = null;
  private readonly key = `errands.${settings.book}`;

  constructor() {
    this.waiting = kept<Errand[]>(this.key) ?? [];
    if (this.waiting.length) this.work();
  }

  /** Give a change to be made; resolves when the book has kept it (true) or refused it. */
  async give(errand: Errand): Promise<boolean> {
    this.refusal = null;
    this.waiting = [...this.waiting, errand];
    this.keep();
    await this.work();
    return this.refusal === null;
  }

  /** The same with a file, which is kept on this device until the book has it. */
  async send(errand: Errand, file: File): Promise<boolean> {
    const key = `errand.${errand.path}.${Date.now()}`;
    try {
      await keepFiles(key, [file]);
    } catch {
      held.set(key, file); // this device keeps none: the open page does
    }
    return this.give({ ...errand, file: key });
  }

  /** What a piece will be once all that waits is done: in quarantine or not; undefined where nothing waits. */
  holds(path: string): boolean | undefined {
    const last = this.waiting.filter((one) => one.path === path).at(-1);
    return last === undefined ? undefined : (last.json as { on: boolean }).on;
  }

  private work(): Promise<void> {
    this.working ??= this.all().finally(() => (this.working = null));
    return this.working;
  }

  private async all(): Promise<void> {
    for (let one = this.waiting[0]; one; one = this.waiting[0]) {
      try {
        this.answer = (await this.once(one)) ?? this.answer;
        this.done += 1;
      } catch (problem) {
        if (problem instanceof Lost) {
          await reach.back();
          continue;
        }
        if (!(problem instanceof Refused)) throw problem;
        this.refusal = problem;
      }
      this.waiting = this.waiting.slice(1);
      this.keep();
      if (one.file) await dropFiles(one.file);
    }
  }

  private async once(one: Errand): Promise<AnyRecord | null> {
    const { path, method, json, file } = one;
    if (file === undefined) {
      return ask(path, json === undefined ? { method } : { method, json });
    }
    const body = (await keptFiles(file))[0] ?? held.get(file);
    return body ? ask(path, { method, body: await smaller(body) }) : null;
  }

  private keep(): void {
    if (this.waiting.length) keep(this.key, this.waiting);
    else drop(this.key);
  }
}
const held = new Map<string, File>();
const made = new Map<string, Errands>();

/** The changes of the book that is open. */
export function errands(): Errands {
  const found = made.get(settings.book) ?? new Errands();
  made.set(settings.book, found);
  return found;
}
