/** A winch as it is typed, and back to the kit; values keep their units. */
import type { MakerRow, Winch } from './records';

export interface TypedWinch {
  id: string;
  name: string;
  line_pull: string;
  stall_factor: string;
  barrel: string;
  width: string;
  least_wraps: string;
  rope: string;
  mount_rating: string;
  mount_basis: string;
  mount_source: string;
  voltage_V: string;
  capacity_Ah: string;
  table: { line_pull: string; speed: string; current_A: string }[];
}
const text = (value: unknown): string => (value === undefined || value === null ? '' : String(value));

export function typedWinch(winch: Winch | null): TypedWinch {
  const w = winch ?? { id: '' };
  return {
    id: w.id,
    name: text(w.name),
    line_pull: text(w.line_pull),
    stall_factor: text(w.stall_factor),
    barrel: text(w.drum?.barrel),
    width: text(w.drum?.width),
    least_wraps: text(w.least_wraps),
    rope: typeof w.rope === 'string' ? w.rope : text(w.rope?.id),
    mount_rating: text(w.mount?.rating),
    mount_basis: text(w.mount?.basis) || 'unknown',
    mount_source: text(w.mount?.source),
    voltage_V: text(w.battery?.voltage_V),
    capacity_Ah: text(w.battery?.capacity_Ah),
    table: (w.table ?? []).map((row) => ({ line_pull: text(row.line_pull), speed: text(row.speed), current_A: text(row.current_A) })),
  };
}

/** The winch as it goes into the kit: what is not asked here stays as it was, what is empty is left out. */
export function winchFrom(typed: TypedWinch, before: Winch | null): Winch {
  const winch: Winch = { ...(before ?? {}), id: typed.id.trim() };
  put(winch, 'name', typed.name);
  put(winch, 'line_pull', typed.line_pull);
  put(winch, 'stall_factor', numeral(typed.stall_factor));
  put(winch, 'least_wraps', numeral(typed.least_wraps));
  if (!(before && typeof before.rope === 'object' && before.rope.id === typed.rope)) put(winch, 'rope', typed.rope);
  part(winch, 'drum', { barrel: typed.barrel, width: typed.width });
  part(winch, 'mount', typed.mount_rating.trim() ? { rating: typed.mount_rating, basis: typed.mount_basis, source: typed.mount_source } : { rating: '', basis: '', source: '' });
  part(winch, 'battery', { voltage_V: numeral(typed.voltage_V), capacity_Ah: numeral(typed.capacity_Ah) });
  const rows = typed.table.filter((row) => row.line_pull.trim() || row.speed.trim() || row.current_A.trim());
  const table = rows.map((row, i) => {
    const made: MakerRow = { ...(before?.table?.[i] ?? {}), line_pull: row.line_pull.trim() };
    put(made, 'speed', row.speed);
    put(made, 'current_A', numeral(row.current_A));
    return made;
  });
  if (table.length) winch.table = table;
  else delete winch.table;
  return winch;
}

function part(winch: Winch, key: 'drum' | 'mount' | 'battery', typed: Record<string, string | number>): void {
  const made: Record<string, unknown> = { ...(winch[key] ?? {}) };
  for (const [name, value] of Object.entries(typed)) put(made, name, value);
  if (Object.keys(made).length) winch[key] = made;
  else delete winch[key];
}

function put(into: Record<string, unknown>, key: string, value: string | number): void {
  const kept = typeof value === 'string' ? value.trim() : value;
  if (kept === '') delete into[key];
  else into[key] = kept;
}

/** A plain number where one was typed; anything else goes as typed, and the machine says what is wrong. */
function numeral(typed: string): string | number {
  const value = typed.trim();
  return value !== '' && Number.isFinite(Number(value)) ? Number(value) : value;
}
