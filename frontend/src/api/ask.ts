/** Questions to the machine that computes. Numbers come back in SI; nothing is computed here. */
import { reach } from '../state/reach.svelte';
import { settings } from '../state/settings.svelte';
import { follow } from './jobs';

export interface Notice {
  code: string;
  level: 'caution' | 'warning' | 'info';
  message: string;
  where: string[];
}

/** Every record carries these. */
export interface AnyRecord {
  haulwright: string;
  kind: string;
  notices: Notice[];
}

/** An answer that was refused, in the words of the machine. */
export class Refused extends Error {
  constructor(
    readonly code: string,
    message: string,
    readonly where: (string | number)[],
    readonly line: number | null,
    readonly status: number,
  ) {
    super(message);
  }
}

/** Nothing answered: the laptop is out of reach or the program was stopped. */
export class Lost extends Error {}

export interface Asked {
  method?: 'GET' | 'POST' | 'PUT' | 'DELETE';
  /** Sent as JSON. */
  json?: unknown;
  /** Sent as a form with files, or as raw bytes. */
  body?: FormData | Blob;
  signal?: AbortSignal;
  /** Long work: asked for as a job that tells how far it is and can be cancelled through `signal`. */
  long?: boolean;
  onProgress?: (said: string, share: number | null) => void;
}

/** Ask for a record.
 *  @throws Refused, Lost, or the AbortError of `signal`. */
export async function ask<T = AnyRecord>(path: string, asked: Asked = {}): Promise<T> {
  const answer = await askRaw(path, asked);
  return whole(async () => (await answer.json()) as T, asked);
}

/** Read the body of an answer: a link may be lost in the middle of it. */
async function whole<T>(read: () => Promise<T>, asked: Asked): Promise<T> {
  try {
    return await read();
  } catch (problem) {
    if (asked.signal?.aborted || problem instanceof SyntaxError) throw problem;
    reach.nothing();
    throw new Lost();
  }
}

/** Ask for a file: its bytes and its name. */
export async function askFile(path: string, asked: Asked = {}): Promise<{ blob: Blob; name: string }> {
  const answer = await askRaw(path, asked);
  const name = /filename="([^"]+)"/.exec(answer.headers.get('Content-Disposition') ?? '')?.[1] ?? 'haulwright';
  return { blob: await whole(() => answer.blob(), asked), name };
}

/** Ask for an answer as it comes; long work is followed to its end, also over a link that is lost for a while. */
export async function askRaw(path: string, asked: Asked = {}): Promise<Response> {
  const headers: Record<string, string> = {
    'Haulwright-Units': settings.units,
    'Haulwright-Words': settings.words,
    'Haulwright-Book': settings.book,
  };
  let body: BodyInit | undefined = asked.body;
  if (asked.json !== undefined) {
    headers['Content-Type'] = 'application/json';
    body = JSON.stringify(asked.json);
  }
  if (asked.long) headers['Prefer'] = 'respond-async';
  const method = asked.method ?? (body === undefined ? 'GET' : 'POST');
  for (;;) {
    const answer = await reached(path, { method, headers, body, signal: asked.signal ?? null });
    if (!asked.long || answer.status !== 202) return sound(answer);
    const done = await follow(answer, asked);
    if (done) return done; // else the program was started anew meanwhile: its work is asked for again
  }
}

export function isAbort(problem: unknown): boolean {
  return problem instanceof DOMException && problem.name === 'AbortError';
}

/** `fetch`, with a lost machine told apart from everything else. */
export async function reached(path: string, init: RequestInit): Promise<Response> {
  const cut = reach.signal;
  let answer: Response;
  try {
    answer = await fetch(path, { cache: 'no-store', ...init, signal: init.signal ? AbortSignal.any([init.signal, cut]) : cut });
  } catch (problem) {
    if (init.signal?.aborted) throw new DOMException('cancelled', 'AbortError');
    reach.nothing();
    throw new Lost();
  }
  reach.something(answer.status);
  if (answer.status === 401) throw new Lost(); // the machine is there, but this device has to be let in again
  return answer;
}

/** The answer, or its refusal thrown. */
export async function sound(answer: Response): Promise<Response> {
  if (answer.ok) return answer;
  let said: unknown = null;
  try {
    said = await answer.json();
  } catch {
    // no record: told below by its status
  }
  const error = (said as { error?: Partial<Refused> } | null)?.error;
  throw new Refused(
    error?.code ?? `HTTP ${answer.status}`,
    error?.message ?? answer.statusText,
    error?.where ?? [],
    error?.line ?? null,
    answer.status,
  );
}

/** Give a file to the reader. */
export function download(file: { blob: Blob; name: string }): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(file.blob);
  link.download = file.name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}
