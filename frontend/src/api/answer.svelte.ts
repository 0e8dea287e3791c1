/** The last answer to a question that changes: newest wins, kept as stale while the machine is out of reach.
 *
 *  For questions that change nothing (others: `act`): one is asked anew where the machine was lost, and in another unit
 *  of force, since the sentences of an answer speak the reader's unit. */
import { reach } from '../state/reach.svelte';
import { settings } from '../state/settings.svelte';
import { untrack } from 'svelte';
import { keepAnswer, keptAnswer } from '../state/kept';
import { isAbort, Lost, Refused } from './ask';

export type Question<T> = (signal: AbortSignal, progress: (said: string, share: number | null) => void) => Promise<T>;

export class Answer<T> {
  /** The last answer; stays while the next one is asked for, and while the machine is lost. */
  value = $state.raw<T | null>(null);
  /** Why the newest question was refused; `value` is then the answer of an earlier question and must not be shown as this one's. */
  refusal = $state.raw<Refused | null>(null);
  /** True while the newest question has no answer because the machine is out of reach. */
  private unanswered = $state(false);
  at = $state<Date | null>(null);
  busy = $state(false);
  said = $state('');
  share = $state<number | null>(null);
  private next: Question<T> | null = null;
  private last: Question<T> | null = null;
  private unit = settings.units;
  private stop: AbortController | null = null;

  /** `keep`: a name under which the last answer is kept on this device, so that it is there, as stale, when the page is
   *  opened again while the machine cannot be reached. */
  constructor(private readonly keep?: string) {
    try {
      $effect(() => {
        const unit = settings.units;
        untrack(() => this.last && this.unit !== unit && this.ask(this.last));
      });
    } catch {
      // made outside a component: whoever made it asks again
    }
  }

  /** The newest question has no answer, or the machine is out of reach: show `value` as stale, with `at`. */
  get stale(): boolean {
    return this.unanswered || (reach.lost && this.value !== null);
  }

  /** Ask; while one is under way only the newest of the others is kept. */
  ask(question: Question<T>): void {
    untrack(() => {
      this.next = this.last = question;
      this.unit = settings.units;
      if (!this.busy) void this.work();
    });
  }

  /** Ask for something that changes the book: not asked anew in another unit, only where the machine was lost before it
   *  answered. */
  act(question: Question<T>): void {
    this.ask(question);
    this.last = null;
  }

  /** Stop the work under way; the last answer stays. */
  cancel(): void {
    this.next = null;
    this.stop?.abort();
  }

  forget(): void {
    this.cancel();
    this.last = null;
    this.value = null;
    this.refusal = null;
    this.unanswered = false;
    this.at = null;
  }

  private async work(): Promise<void> {
    this.busy = true;
    try {
      while (this.next) {
        const question = this.next;
        this.next = null;
        await this.once(question);
      }
    } finally {
      this.busy = false;
      this.said = '';
      this.share = null;
    }
  }

  private async once(question: Question<T>): Promise<void> {
    const { signal } = (this.stop = new AbortController());
    this.said = '';
    this.share = null;
    try {
      const value = await question(signal, (said, share) => ((this.said = said), (this.share = share)));
      if (signal.aborted) return;
      this.value = value;
      this.refusal = null;
      this.unanswered = false;
      this.at = new Date();
      if (this.keep !== undefined) keepAnswer(this.keep, value, this.at);
    } catch (problem) {
      if (problem instanceof Lost) await this.later(question, signal);
      else if (problem instanceof Refused) {
        if (!signal.aborted) this.refusal = problem;
      } else if (!isAbort(problem)) throw problem;
    }
  }

  /** Whatever was asked last is asked again when the machine is back, unless it was cancelled meanwhile. */
  private async later(question: Question<T>, signal: AbortSignal): Promise<void> {
    this.unanswered = true;
    const before = this.keep !== undefined && this.value === null ? keptAnswer<T>(this.keep) : null;
    if (before) {
      this.value = before.value;
      this.at = before.at;
    }
    try {
      await reach.back(signal);
      this.next ??= question;
    } catch (problem) {
      if (!isAbort(problem)) throw problem;
    }
  }
}
