/** The pulls of the book that are planned with a kit; the machine puts their kit and friction in itself. */
import { ask } from '../../api/ask';
import { inBook, type BookDocument } from './records';

type Content = Record<string, unknown>;

/** What a pull says; null where it is planned with another kit, or cannot be read. */
export async function pullWith(kit: string, name: string, signal: AbortSignal): Promise<Content | null> {
  const doc = await ask<BookDocument<Content>>(inBook('pull', name), { signal });
  return doc.content && doc.beside?.kit === kit ? doc.content : null;
}
