/** Long work as a job: followed until it is done, cancelled when nobody wants it any more. */
import { reach } from '../state/reach.svelte';
import { isAbort, Lost, reached, Refused, sound, type Asked } from './ask';

interface Job {
  id: string;
  state: 'waiting' | 'working' | 'done' | 'refused' | 'cancelled';
  said: string;
  share: number | null;
}
const FIRST_ms = 120;
const MOST_ms = 1000;
const running = new Set<string>();

// a page that is left wants none of its work any more
addEventListener('pagehide', (event) => {
  if (!event.persisted) for (const at of running) stop(at);
});

function stop(at: string): void {
  void fetch(at, { method: 'DELETE', keepalive: true }).catch(() => undefined);
}

/** Follow work to its answer. While the link is lost the work goes on, and is asked after when the machine is back.
 *  @returns the answer, or null where the machine knows nothing of the work any more. */
export async function follow(accepted: Response, asked: Asked): Promise<Response | null> {
  const job = (await accepted.json()) as Job;
  const at = `/api/jobs/${encodeURIComponent(job.id)}`;
  running.add(at);
  try {
    const state = await ended(at, job, asked);
    if (state === 'cancelled') throw new Refused('CANCELLED', 'Cancelled.', [], null, 410);
    return await patiently(at + '/answer', asked);
  } catch (problem) {
    if (asked.signal?.aborted || isAbort(problem)) stop(at);
    else if (problem instanceof Refused && problem.code === 'NOT_FOUND' && problem.where[0] === job.id) return null;
    throw problem;
  } finally {
    running.delete(at);
  }
}

async function ended(at: string, job: Job, asked: Asked): Promise<Job['state']> {
  for (let wait = FIRST_ms; job.state === 'waiting' || job.state === 'working'; wait = Math.min(MOST_ms, wait * 1.4)) {
    asked.onProgress?.(job.said, job.share);
    await pause(wait, asked.signal);
    job = (await (await patiently(at, asked)).json()) as Job;
  }
  return job.state;
}

/** Ask; where the link is lost, again when it is back. */
async function patiently(path: string, { signal }: Asked): Promise<Response> {
  for (;;) {
    try {
      return await sound(await reached(path, { signal: signal ?? null }));
    } catch (problem) {
      if (!(problem instanceof Lost)) throw problem;
      await reach.back(signal);
    }
  }
}

function pause(wait_ms: number, signal: AbortSignal | undefined): Promise<void> {
  return new Promise((done, stopped) => {
    const cancelled = () => stopped(new DOMException('cancelled', 'AbortError'));
    if (signal?.aborted) return cancelled();
    const timer = setTimeout(() => {
      signal?.removeEventListener('abort', cancelled);
      done();
    }, wait_ms);
    signal?.addEventListener('abort', () => (clearTimeout(timer), cancelled()), { once: true });
  });
}
