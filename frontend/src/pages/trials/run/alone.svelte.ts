/** A run that belongs to no campaign: its logs, what was said about them, its answers. */
import { Answer } from '../../../api/answer.svelte';
import { ask, Refused, type Asked } from '../../../api/ask';
import { Draft } from '../../../state/draft.svelte';
import { dropFiles, keepFiles, keptFiles } from '../../../state/kept';
import { settings } from '../../../state/settings.svelte';
import { typed, type Hand, type Told } from './by_hand';
import { headOf } from './files';
import type { KeptLogs, LogRecord, RunView, Span, Traces, Wanted } from './records';

export const FORMAT = ['unit', 'line_column', 'anchor_column', 'time_column', 'decimal', 'date_order', 'clock', 'separator', 'sheet', 'zone'] as const;
export type FormatKey = (typeof FORMAT)[number];
interface Cell {
  class: string;
  of: string;
  capacity: string;
}
export interface Said {
  key: string;
  names: string[];
  format: Partial<Record<FormatKey, string>>;
  rig: string;
  line: string;
  devices: string[];
  cells: Record<'line' | 'anchor', Cell>;
  run: string;
  steady: string[];
  offset: string;
  zeros: Record<string, string>;
  by: string;
  why: string;
}
const BEGIN: Said = {
  key: '',
  names: [],
  format: {},
  rig: '',
  line: '',
  devices: [],
  cells: { line: { class: '', of: 'reading', capacity: '' }, anchor: { class: '', of: 'reading', capacity: '' } },
  run: '',
  steady: [],
  offset: '',
  zeros: {},
  by: '',
  why: '',
};
const TWO = 2;

export class Alone {
  readonly said = new Draft<Said>('alone', BEGIN);
  readonly log = new Answer<LogRecord>();
  readonly view = new Answer<RunView>();
  readonly traces = new Answer<Traces>();
  readonly sending = new Answer<KeptLogs>();
  heads = $state.raw<{ name: string; lines: string[] }[]>([]);
  private files: File[] = [];
  private readonly keptAs = `alone.${settings.book}`;

  /** Take up what was chosen before a reload. */
  async resume(): Promise<void> {
    if (!this.said.value.names.length) return;
    this.files = await keptFiles(this.keptAs);
    await this.showHeads();
    this.look();
  }

  async choose(files: File[]): Promise<void> {
    const now = this.said.value;
    // a second log joins the first one; anything else begins anew
    const joins = files.length === 1 && this.files.length === 1 && this.files[0]?.name !== files[0]?.name && !this.view.value;
    this.files = joins ? [...this.files, ...files] : files;
    this.log.forget();
    this.view.forget();
    this.traces.forget();
    this.said.set({
      ...BEGIN,
      rig: now.rig,
      line: now.line,
      devices: now.devices,
      cells: $state.snapshot(now.cells),
      names: this.files.map((file) => file.name),
      run: (this.files[0]?.name ?? '').replace(/\.[^.]*$/, ''),
    });
    await this.keepFiles();
    await this.showHeads();
    this.send();
  }

  /** The columns of line and anchor where one log holds both, as the machine told of them. */
  get columns(): { line: string; anchor: string } | null {
    const told = this.files.length === 1 ? this.log.value?.format.columns : undefined;
    const found = /^line from column (\d+) .*anchor from column (\d+) /s.exec(told ?? '');
    return found?.[1] && found[2] ? { line: found[1], anchor: found[2] } : null;
  }

  /** Line and anchor the other way round: of two logs, or of two columns of one. */
  swap(): void {
    const { columns } = this;
    if (columns) {
      const { value } = this.said;
      this.said.set({ ...value, format: { ...value.format, line_column: columns.anchor, anchor_column: columns.line } });
      this.look();
      return;
    }
    this.files = [...this.files].reverse();
    this.said.set({ ...this.said.value, names: this.files.map((file) => file.name), key: '' });
    void this.keepFiles();
    void this.showHeads();
    this.send();
  }

  private async keepFiles(): Promise<void> {
    try {
      await keepFiles(this.keptAs, this.files);
    } catch {
      // a browser that keeps no files still sends what was chosen
    }
  }

  private async showHeads(): Promise<void> {
    this.heads = await Promise.all(this.files.map(async (file) => ({ name: file.name, lines: await headOf(file) })));
  }

  private send(): void {
    this.sending.act(async (signal) => {
      const kept = await this.sent(signal);
      this.look();
      return kept;
    });
  }

  private async sent(signal?: AbortSignal): Promise<KeptLogs> {
    const body = new FormData();
    for (const file of this.files) body.append('log', file, file.name);
    const kept = await ask<KeptLogs>('/api/trial/logs', { body, ...(signal ? { signal } : {}) });
    this.said.set({ ...this.said.value, key: kept.key });
    return kept;
  }

  /** A question about the logs; where the machine has let them go, they are sent again. */
  private async about<T>(what: string, json: unknown, asked: Asked = {}): Promise<T> {
    const question = () => ask<T>(`/api/trial/logs/${this.said.value.key}/${what}`, { json, ...asked });
    if (!this.said.value.key) await this.sent(asked.signal);
    try {
      return await question();
    } catch (problem) {
      if (!(problem instanceof Refused) || problem.status !== 404 || !this.files.length) throw problem;
      await this.sent(asked.signal);
      return question();
    }
  }

  /** Everything that depends on what was said. */
  look(): void {
    if (!this.files.length) return;
    this.read();
    this.draw();
    this.measure();
  }

  read(): void {
    this.log.ask((signal, onProgress) => this.about<LogRecord>('read', this.format, { signal, long: true, onProgress }));
  }

  draw(): void {
    if (this.files.length > TWO) return;
    this.traces.ask((signal, onProgress) =>
      this.about<Traces>('traces', { ...this.drawn, points: 4000 }, { signal, long: true, onProgress }),
    );
  }

  readonly closer = (wanted: Wanted): Promise<Traces> => this.about<Traces>('traces', { ...this.drawn, ...wanted });

  get ready(): boolean {
    const { rig, line, devices } = this.said.value;
    return (rig === 'line' ? line.trim() !== '' : rig !== '') && devices.every((name) => name.trim() !== '');
  }

  measure(): void {
    if (!this.ready) return;
    this.view.ask((signal, onProgress) => this.about<RunView>('run', this.question, { signal, long: true, onProgress }));
  }

  private get format(): Record<string, string> {
    return Object.fromEntries(Object.entries(this.said.value.format).filter(([, value]) => value?.trim()));
  }

  private get byHand(): Record<string, unknown> {
    const { offset, zeros, by, why } = this.said.value;
    if (!offset && !Object.keys(zeros).length) return {};
    return { ...(offset ? { clock_offset: { anchor: offset } } : {}), ...(Object.keys(zeros).length ? { zeros } : {}), by, why };
  }

  private get cells(): Record<string, unknown> {
    const found: Record<string, unknown> = {};
    for (const [place, cell] of Object.entries(this.said.value.cells)) {
      const told = Object.fromEntries(
        Object.entries(cell).filter(([key, value]) => value.trim() && (key !== 'of' || cell.class.trim())),
      );
      if (Object.keys(told).length) found[place] = told;
    }
    return Object.keys(found).length ? { cells: found } : {};
  }

  private get drawn(): Record<string, unknown> {
    return { ...this.format, ...this.cells, ...this.byHand, run: this.said.value.run };
  }

  private get question(): Record<string, unknown> {
    const { rig, line, devices, steady, by, why } = this.said.value;
    return {
      ...this.drawn,
      rig: rig === 'line' ? line : rig,
      devices: devices.map((name) => name.trim()),
      ...(steady.length ? { steady, by, why } : {}),
    };
  }

  readonly hand: Hand = {
    stretch: (spans: Span[], told: Told) => this.tell({ steady: spans.map(typed), ...told }),
    rule: () => this.tell({ steady: [] }),
    set: async (what, place, value, told) => {
      const { zeros } = this.said.value;
      const others = Object.fromEntries(Object.entries(zeros).filter(([name]) => name !== place));
      await this.tell(
        what === 'offset' ? { offset: value ?? '', ...told } : { zeros: value === null ? others : { ...others, [place]: value }, ...told },
      );
      this.draw();
    },
    leaveOut: null,
  };

  /** Say something by hand and measure with it; what is refused is not said. */
  private async tell(told: Partial<Said>): Promise<void> {
    const before = $state.snapshot(this.said.value) as Said;
    this.said.set({ ...before, ...told });
    try {
      this.view.value = await this.about<RunView>('run', this.question);
      this.view.refusal = null;
    } catch (problem) {
      this.said.set(before);
      throw problem;
    }
  }

  correct(key: FormatKey, value: string): void {
    this.said.value.format[key] = value;
    this.said.touch();
    this.look();
  }

  /** The logs as they go into a campaign. */
  get chosen(): readonly File[] {
    return this.files;
  }

  async forget(): Promise<void> {
    this.files = [];
    this.heads = [];
    for (const answer of [this.log, this.view, this.traces, this.sending]) answer.forget();
    this.said.clear();
    await dropFiles(this.keptAs);
  }
}
