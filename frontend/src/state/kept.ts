/** What this device keeps: small texts at once (localStorage), files beside them (IndexedDB). Nothing leaves it. */
const PREFIX = 'haulwright.';
const LONGEST = 400_000; // characters of one answer: a browser gives all pages of one address about five million

/** Told when the device would not keep something: full, or forbidden. */
const told: ((key: string) => void)[] = [];
export function onUnkept(tell: (key: string) => void): void {
  told.push(tell);
}

/** Keep a value under a key; false, and told to all, where the device keeps nothing. */
export function keep(key: string, value: unknown): boolean {
  const text = JSON.stringify(value);
  for (const tries of [1, 2]) {
    try {
      localStorage.setItem(PREFIX + key, text);
      return true;
    } catch {
      if (tries === 1) dropAnswers(); // what was typed comes before what can be asked again
    }
  }
  for (const tell of told) tell(key);
  return false;
}

export function kept<T>(key: string): T | null {
  try {
    const text = localStorage.getItem(PREFIX + key);
    return text === null ? null : (JSON.parse(text) as T);
  } catch {
    return null;
  }
}

export function drop(key: string): void {
  try {
    localStorage.removeItem(PREFIX + key);
  } catch {
    // nothing was kept
  }
}

const ANSWER = 'answer.';

/** Keep an answer of the machine with its time; a long one is not kept, and none is kept at the cost of what was typed. */
export function keepAnswer(name: string, value: unknown, at: Date): void {
  try {
    const text = JSON.stringify({ value, at: at.toISOString() });
    if (text.length <= LONGEST) localStorage.setItem(PREFIX + ANSWER + name, text);
    else localStorage.removeItem(PREFIX + ANSWER + name);
  } catch {
    drop(ANSWER + name);
  }
}

export function keptAnswer<T>(name: string): { value: T; at: Date } | null {
  const found = kept<{ value: T; at: string }>(ANSWER + name);
  return found ? { value: found.value, at: new Date(found.at) } : null;
}

function dropAnswers(): void {
  try {
    const keys = Object.keys(localStorage).filter((key) => key.startsWith(PREFIX + ANSWER));
    for (const key of keys) localStorage.removeItem(key);
  } catch {
    // nothing was kept
  }
}

// files that wait for the machine

const STORE = 'files';

function database(): Promise<IDBDatabase> {
  return new Promise((done, fail) => {
    const open = indexedDB.open('haulwright', 1);
    open.onupgradeneeded = () => open.result.createObjectStore(STORE);
    open.onsuccess = () => done(open.result);
    open.onerror = () => fail(open.error ?? new Error('no database'));
  });
}

async function inStore<T>(mode: IDBTransactionMode, work: (store: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  const base = await database();
  try {
    return await new Promise<T>((done, fail) => {
      const transaction = base.transaction(STORE, mode);
      const request = work(transaction.objectStore(STORE));
      transaction.oncomplete = () => done(request.result);
      transaction.onabort = transaction.onerror = () => fail(transaction.error ?? new Error('not kept'));
    });
  } finally {
    base.close();
  }
}

/** Keep files under a key until they are sent; resolves when they are on the disk of this device.
 *  @throws where the device keeps none. */
export async function keepFiles(key: string, files: readonly File[]): Promise<void> {
  await inStore('readwrite', (store) => store.put([...files], key));
}

/** The files kept under a key; none where there are none, or where this device keeps none. */
export async function keptFiles(key: string): Promise<File[]> {
  try {
    return ((await inStore('readonly', (store) => store.get(key))) as File[] | undefined) ?? [];
  } catch {
    return [];
  }
}

/** Forget files once they are in the book. */
export async function dropFiles(key: string): Promise<void> {
  try {
    await inStore('readwrite', (store) => store.delete(key));
  } catch {
    // nothing was kept
  }
}
