/** What was typed, kept on this device at once, so that neither a reload nor a lost laptop takes it away. */
import { drop, keep, kept, onUnkept } from './kept';
import { settings } from './settings.svelte';

const WAIT_ms = 150;

/** Whether this device would not keep what was typed: then only the open page holds it, and says so. */
export const keeping = $state({ failed: false });
onUnkept(() => (keeping.failed = true));

const TYPED = 'textarea, input:not([type=checkbox], [type=radio], [type=file], [type=range])';

/** A page may end while a field is still being typed in: it is taken over as it stands, before the drafts are kept. */
function settle(): void {
  const at = document.activeElement;
  if (at?.matches(TYPED)) at.dispatchEvent(new Event('change', { bubbles: true }));
}
addEventListener('pagehide', settle);
document.addEventListener('visibilitychange', () => document.visibilityState === 'hidden' && settle());

export class Draft<T> {
  value = $state() as T;
  /** Whether it differs from what it was begun with. */
  changed = $state(false);
  private timer: ReturnType<typeof setTimeout> | undefined;
  private readonly key: string;

  /** A draft under a key, one for each book; `begin` is what it is before anything was typed. */
  constructor(
    key: string,
    private readonly begin: T,
  ) {
    this.key = `draft.${settings.book}.${key}`;
    const before = kept<T>(this.key);
    this.value = before ?? copy(begin);
    this.changed = before !== null;
    const flush = () => this.flush();
    addEventListener('pagehide', flush);
    document.addEventListener('visibilitychange', flush); // a phone may end a hidden page without a word
  }

  /** Call after every change (or write `draft.set(...)`). */
  touch(): void {
    this.changed = true;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.flush(), WAIT_ms);
  }

  set(value: T): void {
    this.value = value;
    this.touch();
  }

  /** Forget what was typed, once it is kept in the book. */
  clear(begin: T = this.begin): void {
    clearTimeout(this.timer);
    this.timer = undefined;
    this.value = copy(begin);
    this.changed = false;
    drop(this.key);
  }

  private flush(): void {
    clearTimeout(this.timer);
    if (this.changed && this.timer !== undefined) {
      this.timer = undefined;
      if (keep(this.key, this.value)) keeping.failed = false;
    }
  }
}

/** A copy that shares nothing with what it was made of, be it watched or not. */
function copy<T>(value: T): T {
  return $state.snapshot(value) as T;
}
