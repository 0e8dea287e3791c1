/** The tour of the demo book: which step it is at. Begun from the first page; over when it was ended or skipped once. */
import { keep, kept } from './kept';
import { settings } from './settings.svelte';

interface Step {
  page: string;
  words: 'rigs' | 'trials' | 'pulls' | 'kit' | 'cards' | 'last';
}
export const STEPS: readonly Step[] = [
  { page: 'rigs', words: 'rigs' },
  { page: 'trials', words: 'trials' },
  { page: 'pulls', words: 'pulls' },
  { page: 'kit', words: 'kit' },
  { page: 'cards', words: 'cards' },
  { page: '', words: 'last' },
];
const KEY = 'tour';

class Tour {
  /** Step, or null where no tour is under way. */
  at = $state<number | null>(null);
  /** Whether it was seen or skipped before on this device. */
  seen = $state(kept<{ seen: boolean }>(KEY)?.seen ?? false);

  begin(): void {
    settings.book = 'demo';
    this.at = 0;
    this.show();
  }

  go(by: 1 | -1): void {
    if (this.at === null) return;
    this.at = Math.min(Math.max(this.at + by, 0), STEPS.length - 1);
    this.show();
  }

  /** A page was opened, by the tour or by the reader himself: it goes along, or ends where it has nothing to say. */
  follow(page: string): void {
    if (this.at === null || STEPS[this.at]?.page === page) return;
    const there = STEPS.findIndex((step) => step.page === page);
    if (there >= 0 && page !== '') this.at = there;
    else this.end();
  }

  end(): void {
    this.at = null;
    this.seen = true;
    keep(KEY, { seen: true });
  }

  private show(): void {
    const step = this.at === null ? undefined : STEPS[this.at];
    if (step) location.hash = `#/${step.page}`;
  }
}

export const tour = new Tour();
