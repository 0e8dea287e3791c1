/** Whether the machine that computes can be reached. It is asked every few seconds, so that a laptop that went out of
 *  reach is told before anything is asked of it; when it is lost, it is asked again until it answers. */
const ALIVE = '/api/alive';
const BEAT_ms = 5000;
const PATIENCE_ms = 4000; // a radio link that died says nothing at all
const FIRST_ms = 1000;
const MOST_ms = 8000;

class Reach {
  lost = $state(false);
  since = $state<Date | null>(null);
  /** This device has no session any more: the program was started anew, or twelve hours are over. */
  locked = $state(false);
  /** Grows each time the machine is found again: what depends on it asks anew. */
  found = $state(0);
  private timer: ReturnType<typeof setTimeout> | undefined;
  private waiting: (() => void)[] = [];
  private cut = new AbortController();

  constructor() {
    addEventListener('online', () => this.look(0));
    document.addEventListener('visibilitychange', () => document.visibilityState === 'visible' && this.look(0));
    this.look(BEAT_ms);
  }

  /** Aborted when the machine is lost: what waits for an answer on a dead link need not wait for ever. */
  get signal(): AbortSignal {
    return this.cut.signal;
  }

  /** Called when nothing answered. */
  nothing(): void {
    if (this.lost) return;
    this.lost = true;
    this.since = new Date();
    const cut = this.cut;
    this.cut = new AbortController();
    cut.abort();
    this.look(FIRST_ms);
  }

  /** Called when something answered: 401 is the machine, but it does not let this device in. */
  something(status: number): void {
    this.locked = status === 401;
    if (this.locked) {
      if (!this.lost) this.nothing();
      return;
    }
    if (!this.lost) return;
    this.lost = false;
    this.since = null;
    this.found += 1;
    for (const go of this.waiting.splice(0)) go();
    this.look(BEAT_ms);
  }

  /** Resolves when the machine answers again, at once where it is not lost.
   *  @throws the AbortError of `signal`. */
  back(signal?: AbortSignal): Promise<void> {
    if (!this.lost) return Promise.resolve();
    return new Promise((go, stop) => {
      this.waiting.push(go);
      signal?.addEventListener('abort', () => stop(new DOMException('cancelled', 'AbortError')), { once: true });
      if (signal?.aborted) stop(new DOMException('cancelled', 'AbortError'));
    });
  }

  /** Ask now instead of when the time has come: for a button. */
  tryNow(): void {
    this.look(0);
  }

  private look(wait_ms: number): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.beat(wait_ms), wait_ms);
  }

  private async beat(waited_ms: number): Promise<void> {
    if (document.visibilityState === 'visible') {
      try {
        const said = await fetch(ALIVE, { cache: 'no-store', signal: AbortSignal.timeout(PATIENCE_ms) });
        this.something(said.status);
      } catch {
        this.nothing();
      }
    }
    this.look(this.lost ? Math.min(MOST_ms, Math.max(FIRST_ms, 2 * waited_ms)) : BEAT_ms);
  }
}

export const reach = new Reach();
