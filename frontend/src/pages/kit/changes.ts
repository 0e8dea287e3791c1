/** What changed of a piece from version to version, in words; nothing is computed, texts are only compared. */
import { ask } from '../../api/ask';
import { t } from '../../words/words.svelte';
import { inBook, type BookDocument, type KitContent, type Piece } from './records';

export interface Change {
  version: number;
  at: string;
  by: string;
  why: string;
  words: string[];
}
type Doc = BookDocument<KitContent>;
const MOST = 60; // versions that are looked into; those before them are told as one
const kept = new Map<string, Promise<Doc>>();

/** A version of a kit; versions never change, so each is fetched once. */
export function versionOf(doc: Doc, version: number, signal?: AbortSignal): Promise<Doc> {
  if (version === doc.version) return Promise.resolve(doc);
  const key = `${doc.name}\n${version}\n${doc.versions.find((one) => one.version === version)?.at ?? ''}`;
  const had = kept.get(key) ?? ask<Doc>(inBook('kit', doc.name, `?version=${version}`), signal ? { signal } : {});
  kept.set(key, had);
  had.catch(() => kept.delete(key));
  return had;
}

/** Every version in which a piece changed or was told of, newest first. A version in which no piece changed tells why one is in quarantine. */
export async function changesOf(doc: Doc, id: string, signal: AbortSignal): Promise<Change[]> {
  const versions = doc.versions.slice(-MOST);
  const all = await Promise.all(versions.map((one) => versionOf(doc, one.version, signal)));
  const found: Change[] = [];
  let before: Piece | null = null;
  all.forEach((one, i) => {
    const told = versions[i];
    const now = pieceOf(one.content, id);
    if (told) {
      const first = i === 0;
      const words = difference(before, now, first && told.version > 1);
      const spoken = told.why && now?.quarantined && same(all[i - 1]?.content, one.content) ? [t().kit.reasonKept] : words;
      if (spoken.length) found.push({ ...told, words: spoken });
    }
    before = now;
  });
  return found.reverse();
}

function same(before: KitContent | null | undefined, now: KitContent | null): boolean {
  return JSON.stringify(before) === JSON.stringify(now);
}

export function pieceOf(content: KitContent | null, id: string): Piece | null {
  return content?.items?.find((one) => one.id === id) ?? null;
}

function difference(before: Piece | null, now: Piece | null, earlier: boolean): string[] {
  if (!before && !now) return [];
  if (!before) return [earlier ? t().kit.wasThere : t().kit.cameIn];
  if (!now) return [t().kit.wentOut];
  const words: string[] = [];
  for (const key of new Set([...Object.keys(before), ...Object.keys(now)])) {
    const [a, b] = [text(before[key]), text(now[key])];
    if (a === b) continue;
    if (key === 'quarantined') words.push(b ? t().kit.wasHeld : t().kit.wasPutBack);
    else if (key === 'photos') words.push(t().kit.photosChanged);
    else words.push(t().kit.changed(name(key), a, b));
  }
  return words;
}

function name(key: string): string {
  const words = t().kit.key as Record<string, string>;
  return words[key] ?? key;
}

function text(value: unknown): string {
  if (value === undefined || value === null || value === false) return '';
  return Array.isArray(value) || typeof value === 'object' ? JSON.stringify(value) : String(value);
}
