/** What is done to a piece, as errands to the book. */
import { t } from '../../words/words.svelte';
import { who } from '../trials/campaign/who.svelte';
import type { Errand, errands } from './errands.svelte';
import { ofPiece, type Piece } from './records';

/** Out of every plan, or back into the kit; the reason may come afterwards. */
export function quarantine(kit: string, id: string, on: boolean, why = ''): Errand {
  return {
    words: on ? t().kit.didQuarantine(id) : t().kit.didPutBack(id),
    path: ofPiece(kit, id, 'quarantine'),
    method: 'POST',
    json: { on, by: who.name, why },
  };
}

/** A photograph of the marking; it goes with a file. */
export function photograph(kit: string, id: string): Errand {
  return { words: t().kit.didPhoto(id), path: ofPiece(kit, id, `photos?by=${encodeURIComponent(who.name)}`), method: 'PUT' };
}

export function dropPhotograph(kit: string, id: string, n: number, path: string): Errand {
  const asked = new URLSearchParams({ by: who.name, path }); // asked twice, it takes no other photograph
  return { words: t().kit.didDrop(id), path: ofPiece(kit, id, `photos/${n}?${asked}`), method: 'DELETE' };
}

/** Whether a piece is in quarantine, a tap that is on its way to the book included. */
export function heldNow(todo: ReturnType<typeof errands>, kit: string, piece: Piece): boolean {
  return todo.holds(ofPiece(kit, piece.id, 'quarantine')) ?? piece.quarantined ?? false;
}

export function inspection(kit: string, id: string, told: { day: string; next: string; condition: string; note: string }): Errand {
  const { next, ...rest } = told;
  return {
    words: t().kit.didInspect(id),
    path: ofPiece(kit, id, 'inspection'),
    method: 'POST',
    json: { ...rest, ...(next ? { next } : {}), by: who.name },
  };
}
