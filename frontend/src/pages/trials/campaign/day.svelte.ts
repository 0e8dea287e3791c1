/** A campaign's day: its runs as checked, logs on their way, notes that are not in the book yet. */
import { Answer } from '../../../api/answer.svelte';
import { ask, Lost, Refused } from '../../../api/ask';
import { reach } from '../../../state/reach.svelte';
import { Draft } from '../../../state/draft.svelte';
import { dropFiles, keepFiles, keptFiles } from '../../../state/kept';
import { settings } from '../../../state/settings.svelte';
import { at, type Check, type Place, type RunVerdict } from './records';
import { who } from './who.svelte';

type Cells = Record<string, string>;
export interface Sending {
  run: string;
  place: Place;
  file: File;
  state: 'sending' | 'waits' | 'refused';
  refusal: Refused | null;
}
const NOTE_ms = 900;

export class Day {
  readonly checked: Answer<Check>;
  sending = $state<Sending[]>([]);
  /** One log of both cells, where the reader says so: it holds for the runs that follow. */
  oneLog = $state<boolean | null>(null);
  /** Why a note was not taken, by run. */
  noteRefusals = $state<Record<string, Refused>>({});
  /** Cells typed and not in the book yet, by run. */
  readonly typed: Draft<Record<string, Cells>>;
  /** Logs that are not in the book yet; their bytes are kept on this device too. */
  private readonly waitingLogs: Draft<{ run: string; place: Place }[]>;
  private timer: ReturnType<typeof setTimeout> | undefined;
  private turn: Promise<unknown> = Promise.resolve();

  constructor(readonly name: string) {
    this.checked = new Answer<Check>(`day.${settings.book}.${name}`);
    this.typed = new Draft<Record<string, Cells>>(`day.${name}`, {});
    this.waitingLogs = new Draft<{ run: string; place: Place }[]>(`day-logs.${name}`, []);
  }

  load(): void {
    this.checked.ask((signal, onProgress) => ask<Check>(at(this.name, 'check'), { long: true, signal, onProgress }));
  }

  run(name: string | null): RunVerdict | null {
    return this.checked.value?.runs.find((one) => one.run === name) ?? null;
  }

  /** What stands in a cell: what was typed last, else what the book has. */
  cell(run: RunVerdict, column: string): string {
    return this.typed.value[run.run]?.[column] ?? run.row[column] ?? '';
  }

  waiting(run: string): boolean {
    return Object.keys(this.typed.value[run] ?? {}).length > 0;
  }

  note(run: string, cells: Cells): void {
    this.typed.set({ ...this.typed.value, [run]: { ...this.typed.value[run], ...cells } });
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.keepNotes(), NOTE_ms);
  }

  /** One change of the campaign after the other: two at once would get in each other's way. */
  private inTurn<T>(work: () => Promise<T>): Promise<T> {
    const next = this.turn.then(work, work);
    this.turn = next.catch(() => undefined);
    return next;
  }

  /** Send every note that is not in the book yet; what cannot be sent stays typed. */
  keepNotes(): Promise<void> {
    clearTimeout(this.timer);
    return this.inTurn(async () => {
      for (const [run, cells] of Object.entries($state.snapshot(this.typed.value))) if (!(await this.keepNote(run, cells))) return;
    });
  }

  /** Whether the machine could be reached. */
  private async keepNote(run: string, cells: Cells): Promise<boolean> {
    try {
      this.checked.value = await ask<Check>(at(this.name, 'note'), { json: { run, cells, by: who.name } });
      delete this.noteRefusals[run];
      this.forget(run, cells);
    } catch (problem) {
      if (problem instanceof Refused) this.noteRefusals[run] = problem;
      else if (problem instanceof Lost) return false;
      else throw problem;
    }
    return true;
  }

  /** Take out of what was typed what is in the book now; anything typed meanwhile stays. */
  private forget(run: string, kept: Cells): void {
    const left = Object.fromEntries(
      Object.entries(this.typed.value[run] ?? {}).filter(([column, text]) => kept[column] !== text),
    );
    const { [run]: _, ...others } = this.typed.value;
    const rest = Object.keys(left).length ? { ...others, [run]: left } : others;
    if (Object.keys(rest).length) this.typed.set(rest);
    else this.typed.clear({});
  }

  private key(run: string, place: Place): string {
    return ['log', settings.book, this.name, run, place].join('.');
  }

  private async hold(run: string, place: Place, file: File): Promise<void> {
    try {
      await keepFiles(this.key(run, place), [file]);
      this.waitingLogs.set([...this.others(run, place), { run, place }]);
    } catch {
      // this device keeps no files: the open page still holds it
    }
  }

  private async release(run: string, place: Place): Promise<void> {
    const left = this.others(run, place);
    if (left.length) this.waitingLogs.set(left);
    else this.waitingLogs.clear([]);
    await dropFiles(this.key(run, place));
  }

  private others(run: string, place: Place): { run: string; place: Place }[] {
    return this.waitingLogs.value.filter((one) => one.run !== run || one.place !== place);
  }

  /** Logs that an earlier visit could not send. */
  async restore(): Promise<void> {
    for (const { run, place } of $state.snapshot(this.waitingLogs.value)) {
      const [file] = await keptFiles(this.key(run, place));
      if (file && !this.sending.some((one) => one.run === run && one.place === place))
        this.sending.push({ run, place, file, state: 'waits', refusal: null });
    }
    await this.sendAgain();
  }

  async attach(run: string, place: Place, file: File, instead = false): Promise<void> {
    this.sending = this.sending.filter((one) => one.run !== run || one.place !== place);
    this.sending.push({ run, place, file, state: 'sending', refusal: null });
    const own = this.sending[this.sending.length - 1] as Sending;
    await this.hold(run, place, file);
    const form = new FormData();
    form.append('ask', JSON.stringify({ run, place, instead, by: who.name }));
    form.append('log', file, file.name);
    try {
      this.checked.value = await this.inTurn(() => ask<Check>(at(this.name, 'attach'), { body: form, method: 'POST', long: true }));
      this.sending = this.sending.filter((one) => one !== own);
      if (!this.run(run)?.row.date) this.note(run, { date: today() });
    } catch (problem) {
      if (!(problem instanceof Refused || problem instanceof Lost)) throw problem;
      own.state = problem instanceof Refused ? 'refused' : 'waits';
      if (problem instanceof Refused) own.refusal = problem;
      if (problem instanceof Lost) return;
    }
    await this.release(run, place);
  }

  /** The laptop answers again: what waited is sent. */
  async sendAgain(): Promise<void> {
    if (reach.lost) return;
    for (const one of this.sending.filter((each) => each.state === 'waits')) await this.attach(one.run, one.place, one.file);
    await this.keepNotes();
  }

  drop(one: Sending): void {
    this.sending = this.sending.filter((other) => other !== one);
  }

  async again(run: string, why: string): Promise<void> {
    this.checked.value = await this.inTurn(() => ask<Check>(at(this.name, 'again'), { json: { run, why, by: who.name } }));
  }
}

export function today(): string {
  const now = new Date();
  const two = (n: number) => String(n).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

export function clock(): string {
  return new Date().toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
}
