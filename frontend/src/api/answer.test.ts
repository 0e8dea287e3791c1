import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

/** A page and a machine that can be lost: what `fetch` says is scripted by each test. */
type Said = { status: number; json?: unknown } | 'lost';
let script: (path: string, init: RequestInit) => Said | Promise<Said>;
let asked: string[] = [];
const store = new Map<string, string>();

function install(): void {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'Date'] });
  const localStorage = {
    getItem: (key: string) => store.get(key) ?? null,
    setItem: (key: string, value: string) => void store.set(key, value),
    removeItem: (key: string) => void store.delete(key),
  };
  vi.stubGlobal('localStorage', localStorage);
  vi.stubGlobal('addEventListener', () => undefined);
  vi.stubGlobal('document', { addEventListener: () => undefined, visibilityState: 'visible' });
  vi.stubGlobal('fetch', async (path: string, init: RequestInit = {}) => {
    asked.push(`${init.method ?? 'GET'} ${path}`);
    const signal = init.signal;
    const said = await Promise.race([
      Promise.resolve(script(path, init)),
      new Promise<never>((_, stop) => signal?.addEventListener('abort', () => stop(new DOMException('', 'AbortError')))),
    ]);
    if (said === 'lost') throw new TypeError('failed to fetch');
    return new Response(said.json === undefined ? null : JSON.stringify(said.json), { status: said.status });
  });
}

async function modules() {
  vi.resetModules();
  const { Answer } = await import('./answer.svelte');
  const { ask, Lost, Refused } = await import('./ask');
  const { reach } = await import('../state/reach.svelte');
  return { Answer, ask, Lost, Refused, reach };
}

const pass = (ms: number) => vi.advanceTimersByTimeAsync(ms);
const alive = (path: string) => path === '/api/alive';

beforeEach(() => {
  asked = [];
  store.clear();
  script = () => ({ status: 204 });
  install();
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

describe('an answer while the machine is lost', () => {
  it('stays, is stale, and the newest question catches up by itself', async () => {
    const { Answer, ask, reach } = await modules();
    let there = true;
    script = (path) => (!there ? 'lost' : alive(path) ? { status: 204 } : { status: 200, json: { of: path } });
    const answer = new Answer<{ of: string }>();
    answer.ask((signal) => ask('/api/one', { signal }));
    await pass(1);
    expect([answer.value?.of, answer.stale]).toEqual(['/api/one', false]);
    there = false;
    answer.ask((signal) => ask('/api/two', { signal }));
    await pass(1);
    expect([answer.value?.of, answer.stale, reach.lost]).toEqual(['/api/one', true, true]);
    answer.ask((signal) => ask('/api/three', { signal }));
    await pass(20_000);
    expect([answer.value?.of, answer.stale]).toEqual(['/api/one', true]);
    there = true;
    await pass(10_000);
    expect([answer.value?.of, answer.stale, reach.lost]).toEqual(['/api/three', false, false]);
    expect(asked.filter((one) => one.endsWith('/api/two')).length).toBe(1);
  });

  it('is not asked for again when it was cancelled meanwhile', async () => {
    const { Answer, ask } = await modules();
    let there = false;
    script = (path) => (!there ? 'lost' : alive(path) ? { status: 204 } : { status: 200, json: {} });
    const answer = new Answer();
    answer.ask((signal) => ask('/api/one', { signal }));
    await pass(1);
    answer.cancel();
    there = true;
    await pass(10_000);
    expect(answer.busy).toBe(false);
    expect(asked.filter((one) => one.endsWith('/api/one')).length).toBe(1);
  });

  it('is told as lost where a dead link says nothing at all', async () => {
    const { Answer, ask, reach } = await modules();
    script = (path) => (alive(path) ? 'lost' : new Promise<Said>(() => undefined));
    const answer = new Answer();
    answer.ask((signal) => ask('/api/one', { signal }));
    await pass(5_100);
    expect([reach.lost, answer.stale]).toEqual([true, true]);
  });

  it('waits to be let in where the machine knows this device no more', async () => {
    const { Answer, ask, reach } = await modules();
    let session = false;
    script = (path) =>
      !session ? { status: 401, json: { error: { code: 'SESSION', message: '', where: [], line: null } } } : { status: alive(path) ? 204 : 200, json: alive(path) ? undefined : {} };
    const answer = new Answer();
    answer.ask((signal) => ask('/api/one', { signal }));
    await pass(1);
    expect([reach.lost, reach.locked, answer.refusal]).toEqual([true, true, null]);
    session = true;
    await pass(10_000);
    expect([reach.lost, reach.locked, answer.stale]).toEqual([false, false, false]);
  });

  it('is there again, as stale with its time, when the page is opened anew', async () => {
    const first = await modules();
    script = (path) => (alive(path) ? { status: 204 } : { status: 200, json: { n: 7 } });
    const one = new first.Answer<{ n: number }>('kit');
    one.ask((signal) => first.ask('/api/one', { signal }));
    await pass(1);
    const at = one.at?.getTime();
    const second = await modules();
    const again = new second.Answer<{ n: number }>('kit');
    const other = new second.Answer('other');
    expect(again.value).toBe(null); // the machine may be there: it is asked first
    script = () => 'lost';
    again.ask((signal) => second.ask('/api/one', { signal }));
    other.ask((signal) => second.ask('/api/one', { signal }));
    await pass(1);
    expect([again.value?.n, again.stale, again.at?.getTime()]).toEqual([7, true, at]);
    expect(other.value).toBe(null);
    script = (path) => (alive(path) ? { status: 204 } : { status: 200, json: { n: 8 } });
    await pass(10_000);
    expect([again.value?.n, again.stale]).toEqual([8, false]);
  });
});

describe('long work', () => {
  const job = (state: string, share: number | null = null) => ({ kind: 'job', id: 'J', state, said: `${state}.`, share });

  it('is followed to its answer and tells how far it is', async () => {
    const { Answer, ask } = await modules();
    const states = [job('working', 0.25), job('working', 0.5), job('done', 1)];
    script = (path, init) => {
      if (init.method === 'POST') return { status: 202, json: job('waiting') };
      return path.endsWith('/answer') ? { status: 200, json: { n: 1 } } : { status: 200, json: states.shift() };
    };
    const told: unknown[] = [];
    const answer = new Answer<{ n: number }>();
    answer.ask((signal) => ask('/api/plan/make', { json: {}, long: true, signal, onProgress: (said, share) => told.push([said, share]) }));
    await pass(5000);
    expect(answer.value?.n).toBe(1);
    expect(told).toEqual([['waiting.', null], ['working.', 0.25], ['working.', 0.5]]);
  });

  it('is stopped on the machine when it is cancelled, and keeps the answer before it', async () => {
    const { Answer, ask } = await modules();
    script = (path, init) => ({ status: init.method === 'POST' ? 202 : 200, json: alive(path) ? {} : job('working', 0.1) });
    const answer = new Answer();
    answer.ask((signal) => ask('/api/plan/make', { json: {}, long: true, signal }));
    await pass(1000);
    expect(answer.busy).toBe(true);
    answer.cancel();
    await pass(1000);
    expect(answer.busy).toBe(false);
    expect(answer.refusal).toBe(null);
    expect(asked).toContain('DELETE /api/jobs/J');
  });

  it('goes on while the link is lost, and is asked after when it is back: the question is not asked twice', async () => {
    const { Answer, ask } = await modules();
    let there = true;
    let done = false;
    script = (path, init) => {
      if (!there) return 'lost';
      if (alive(path)) return { status: 204 };
      if (init.method === 'POST') return { status: 202, json: job('working') };
      return path.endsWith('/answer') ? { status: 200, json: { n: 2 } } : { status: 200, json: job(done ? 'done' : 'working') };
    };
    const answer = new Answer<{ n: number }>();
    answer.ask((signal) => ask('/api/plan/make', { json: {}, long: true, signal }));
    await pass(1000);
    there = false;
    await pass(30_000);
    done = there = true;
    await pass(15_000);
    expect(answer.value?.n).toBe(2);
    expect(asked.filter((one) => one.startsWith('POST')).length).toBe(1);
  });

  it('is asked for again where the program was started anew and knows nothing of it', async () => {
    const { Answer, ask } = await modules();
    let posts = 0;
    script = (path, init) => {
      if (alive(path)) return { status: 204 };
      if (init.method === 'POST') return { status: 202, json: job('working') && { ...job('working'), id: `J${++posts}` } };
      if (path.includes('J1')) return { status: 404, json: { error: { code: 'NOT_FOUND', message: '', where: ['J1'], line: null } } };
      return path.endsWith('/answer') ? { status: 200, json: { n: 3 } } : { status: 200, json: job('done') };
    };
    const answer = new Answer<{ n: number }>();
    answer.ask((signal) => ask('/api/plan/make', { json: {}, long: true, signal }));
    await pass(5000);
    expect([answer.value?.n, posts]).toEqual([3, 2]);
  });

  it('that is refused is a refusal, not an answer', async () => {
    const { Answer, ask } = await modules();
    script = (path, init) => {
      if (init.method === 'POST') return { status: 202, json: job('working') };
      if (path.endsWith('/answer')) return { status: 422, json: { error: { code: 'NO_RIG', message: 'None.', where: [], line: null } } };
      return { status: 200, json: job('refused') };
    };
    const answer = new Answer();
    answer.ask((signal) => ask('/api/plan/make', { json: {}, long: true, signal }));
    await pass(5000);
    expect([answer.refusal?.code, answer.value]).toEqual(['NO_RIG', null]);
  });
});

describe('one question at a time', () => {
  it('asks the newest of those that came meanwhile, and only that', async () => {
    const { Answer, ask } = await modules();
    const open: (() => void)[] = [];
    script = (path) => (alive(path) ? { status: 204 } : new Promise((done) => open.push(() => done({ status: 200, json: { of: path } }))));
    const answer = new Answer<{ of: string }>();
    for (const name of ['a', 'b', 'c']) answer.ask((signal) => ask(`/api/${name}`, { signal }));
    await pass(1);
    open.shift()?.();
    await pass(1);
    open.shift()?.();
    await pass(1);
    expect(answer.value?.of).toBe('/api/c');
    expect(asked.filter((one) => one.includes('/api/b'))).toEqual([]);
  });

  it('works on after a question that failed by a fault of the page itself', async () => {
    const { Answer } = await modules();
    const answer = new Answer<number>();
    const faults: unknown[] = [];
    const listen = (problem: unknown) => faults.push(problem);
    process.on('unhandledRejection', listen);
    answer.ask(async () => {
      throw new Error('a fault of the page');
    });
    await pass(1);
    answer.ask(async () => 5);
    await pass(1);
    await new Promise((done) => setImmediate(done));
    process.off('unhandledRejection', listen);
    expect([answer.busy, answer.value]).toEqual([false, 5]);
    expect(String(faults[0])).toContain('a fault of the page');
  });
});
