/** The figures in a drawing that is older than the newest numbers: while something is dragged, drawings come less often. */
import { force } from '../../figures';
import type { ForceUnit } from '../../figures';
import type { LoadRow } from './records';

export function relabel(ground: HTMLElement | undefined, loads: readonly LoadRow[], unit: ForceUnit): void {
  if (!ground) return;
  const rows = new Map(loads.map((row) => [row.of, row]));
  for (const words of ground.querySelectorAll('[data-figure]')) {
    const row = rows.get(words.parentElement?.getAttribute('data-of') ?? '');
    if (!row) continue;
    const now = force(words.getAttribute('data-figure') === 'stall' ? row.stall_N : row.expected_N, unit, false);
    if (words.textContent !== now) words.textContent = now;
  }
}
