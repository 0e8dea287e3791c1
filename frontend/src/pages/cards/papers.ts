/** What can be printed of what; the machine's own list is GET /api/publish, and a test compares the two. */
export type PaperName = 'card' | 'pull-plan' | 'pull-steps' | 'report' | 'comparison' | 'trace' | 'run-sheet' | 'rig-drawing' | 'pocket' | 'workbook' | 'open-data';
export type Format = 'pdf' | 'svg' | 'png' | 'html' | 'xlsx' | 'zip';
export interface Paper {
  paper: PaperName;
  of: 'pull' | 'campaign' | 'rig';
  formats: Format[];
  /** How it is looked at here: a picture, a page in a frame, or not at all: it is taken along. */
  seen: 'svg' | 'html' | 'not';
}
export const PAPERS: readonly Paper[] = [
  { paper: 'card', of: 'pull', formats: ['pdf', 'png', 'svg'], seen: 'svg' },
  { paper: 'pocket', of: 'pull', formats: ['html'], seen: 'not' },
  { paper: 'pull-plan', of: 'pull', formats: ['svg', 'png'], seen: 'svg' },
  { paper: 'pull-steps', of: 'pull', formats: ['svg', 'png'], seen: 'svg' },
  { paper: 'report', of: 'campaign', formats: ['html'], seen: 'html' },
  { paper: 'run-sheet', of: 'campaign', formats: ['html'], seen: 'html' },
  { paper: 'comparison', of: 'campaign', formats: ['svg', 'png'], seen: 'svg' },
  { paper: 'trace', of: 'campaign', formats: ['svg', 'png'], seen: 'svg' },
  { paper: 'workbook', of: 'campaign', formats: ['xlsx'], seen: 'not' },
  { paper: 'open-data', of: 'campaign', formats: ['zip'], seen: 'not' },
  { paper: 'rig-drawing', of: 'rig', formats: ['svg'], seen: 'svg' },
];

/** Papers a card is laid out for, with the sheet that comes out of the printer. */
export const SIZES = {
  a6: { sheet: '105mm 148mm', width: '105mm' },
  a5: { sheet: '148mm 210mm', width: '148mm' },
  a4: { sheet: '210mm 297mm', width: '210mm' },
  letter: { sheet: '8.5in 11in', width: '8.5in' },
  a6x4: { sheet: '210mm 297mm', width: '210mm' },
  a6x2: { sheet: '11in 8.5in', width: '11in' },
} as const;
export type Size = keyof typeof SIZES;
/** Sheets a drawing is printed on, fitted to its width. */
export const DRAWING_SHEETS = { a4: 'A4 landscape', letter: 'letter landscape' } as const;
