/** Which part of a log is looked at, and the closer traces of it, asked for as they are needed. */
import type { Traces, Wanted } from './records';

const LEAST_S = 2; // nothing is seen closer than this

export class Window {
  constructor(
    readonly from_s: number,
    readonly to_s: number,
  ) {}

  get span(): number {
    return this.to_s - this.from_s;
  }

  moved(by_s: number): Window {
    return new Window(this.from_s + by_s, this.to_s + by_s);
  }

  /** Wider or narrower by a factor, so that an instant stays where it is. */
  around(at_s: number, factor: number): Window {
    const by = Math.max(factor, LEAST_S / this.span);
    return new Window(at_s - (at_s - this.from_s) * by, at_s + (this.to_s - at_s) * by);
  }

  /** The same, not beyond the log. */
  inside(whole: Window): Window {
    if (this.span >= whole.span) return whole;
    if (this.from_s < whole.from_s) return this.moved(whole.from_s - this.from_s);
    if (this.to_s > whole.to_s) return this.moved(whole.to_s - this.to_s);
    return this;
  }

  holds(other: Window): boolean {
    return this.from_s <= other.from_s + 1e-6 && this.to_s >= other.to_s - 1e-6;
  }
}

/** One question at a time; what is there already is shown meanwhile. */
export class LookCloser {
  private whole: Traces | null = null;
  private close: Traces | null = null;
  private asking = false;
  private next: Window | null = null;

  constructor(
    private readonly ask: (wanted: Wanted) => Promise<Traces>,
    private readonly came: () => void,
  ) {}

  begin(whole: Traces): void {
    if (whole === this.whole) return;
    this.whole = whole;
    this.close = null;
  }

  /** The finest traces there are that hold what is seen. */
  best(seen: Window, width: number): Traces {
    const whole = this.whole;
    if (!whole) throw new Error('no traces');
    const close = this.close;
    return close && spanOf(close).holds(seen) && !this.rough(close, seen, width * 0.4) ? close : whole;
  }

  want(seen: Window, width: number): void {
    const { whole, close } = this;
    if (!whole || !this.rough(whole, seen, width)) return;
    if (close && spanOf(close).holds(seen) && !this.rough(close, seen, width)) return;
    this.next = seen;
    if (!this.asking) void this.work(width);
  }

  /** Whether traces have fewer points in what is seen than the drawing has pixels, and there is more to be had. */
  private rough(traces: Traces, seen: Window, width: number): boolean {
    const every = Object.values(traces.channels).every((one) => one.aligned.exact);
    if (every) return false;
    const share = Math.min(1, seen.span / spanOf(traces).span);
    return Math.max(...Object.values(traces.channels).map((one) => one.aligned.time_s.length)) * share < width * 0.9;
  }

  private async work(width: number): Promise<void> {
    this.asking = true;
    while (this.next) {
      const seen = this.next;
      this.next = null;
      const of = this.whole;
      try {
        const points = Math.min(20_000, Math.round(6 * Math.max(400, width)));
        const found = await this.ask({ from_s: seen.from_s - seen.span, to_s: seen.to_s + seen.span, points });
        if (of === this.whole) {
          this.close = found;
          this.came();
        }
      } catch {
        break; // a closer look that cannot be had leaves what is there; the page tells of a lost machine
      }
    }
    this.asking = false;
  }
}

function spanOf(traces: Traces): Window {
  return new Window(traces.from_s, traces.to_s);
}
