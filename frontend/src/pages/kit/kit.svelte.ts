/** One kit of the book with everything told of it: its pieces, their verdicts, dates, the pulls it is planned in. */
import { Answer } from '../../api/answer.svelte';
import { ask } from '../../api/ask';
import { settings } from '../../state/settings.svelte';
import { pullWith } from './pulls';
import { inBook, type BookDocument, type BookState, type CheckedItem, type Documents, type KitCheck, type KitContent, type Piece } from './records';

export type State = 'quarantine' | 'damaged' | 'over' | 'due' | 'unknown' | 'tight' | 'set aside' | 'kept' | 'asked';

export interface Row {
  piece: Piece;
  checked: CheckedItem | null;
  state: State;
}
const ORDER: readonly State[] = ['quarantine', 'damaged', 'over', 'due', 'unknown', 'tight', 'kept', 'asked', 'set aside'];

/** What was worked out, and of which version of the kit. */
type Checked = KitCheck & { version: number };

export class Kit {
  readonly doc: Answer<BookDocument<KitContent>>;
  readonly check: Answer<Checked>;
  readonly book: Answer<BookState>;
  day = $state('');
  rows = $derived.by(() => joined(this.doc.value?.content ?? null, this.check.value));
  /** The numbers are of another version of the kit than its words. */
  behind = $derived.by(() => this.check.stale || this.doc.stale || (this.check.value !== null && this.check.value.version !== this.doc.value?.version));
  content = $derived.by(() => this.doc.value?.content ?? null);

  constructor(readonly name: string) {
    const key = `${settings.book}.kit.${name}`;
    this.doc = new Answer(`${key}.document`);
    this.check = new Answer(`${key}.check`);
    this.book = new Answer(`${settings.book}.book`);
  }

  /** Ask for everything anew; what was there stays until it comes. */
  load(): void {
    this.doc.ask((signal) => ask<BookDocument<KitContent>>(inBook('kit', this.name), { signal }));
    this.book.ask((signal) => ask<BookState>(`/api/book${this.day ? `?day=${this.day}` : ''}`, { signal }));
    this.check.ask(async (signal) => {
      const [doc, listed] = await Promise.all([
        ask<BookDocument<KitContent>>(inBook('kit', this.name), { signal }),
        ask<Documents>('/api/book/documents?kind=pull', { signal }),
      ]);
      const found = await Promise.all(listed.documents.map((one) => pullWith(this.name, one.name, signal)));
      const pulls = found.filter((one) => one !== null);
      const day = this.day ? { day: this.day } : {};
      const pull = pulls.length ? { pull: pulls } : {};
      const checked = await ask<KitCheck>('/api/kit/check', { json: { kit: doc.content, ...day, ...pull }, signal });
      return { ...checked, version: doc.version };
    });
  }

  row(id: string): Row | null {
    return this.rows.find((one) => one.piece.id === id) ?? null;
  }
}

function joined(content: KitContent | null, check: KitCheck | null): Row[] {
  const items = new Map(check?.items.map((one) => [one.item, one]));
  const rows = (content?.items ?? []).map((piece) => {
    const checked = items.get(piece.id) ?? null;
    return { piece, checked, state: stateOf(piece, checked) };
  });
  const place = (row: Row) => ORDER.indexOf(row.state);
  return rows.map((row, i) => ({ row, i })).sort((a, b) => place(a.row) - place(b.row) || a.i - b.i).map((one) => one.row);
}

/** What is to be seen of a piece first; words of the record, no number of this page's. */
function stateOf(piece: Piece, checked: CheckedItem | null): State {
  if (piece.quarantined) return 'quarantine';
  if (piece.condition === 'damaged') return 'damaged';
  if (!checked) return 'asked'; // not worked out yet: nothing is said of it
  if (checked.worst?.verdict === 'over') return 'over';
  if (checked.overdue) return 'due';
  if (checked.verdict === 'unknown') return 'unknown';
  if (checked.worst?.verdict === 'tight') return 'tight';
  return checked.verdict === null ? 'set aside' : 'kept';
}
