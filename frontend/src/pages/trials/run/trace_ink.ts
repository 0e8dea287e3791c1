/** The inks of the sheet for a canvas, which knows no style sheet. */
export interface Ink {
  paper: string;
  ink: string;
  second: string;
  rule: string;
  light: string;
  grid: string;
  wash: string;
  pencil: string;
  hatch: string;
  hatchOpacity: number;
  hair: number;
  face: string;
  note: number;
  label: number;
}

export function inkOf(element: HTMLElement): Ink {
  const style = getComputedStyle(element);
  const value = (name: string) => style.getPropertyValue(name).trim();
  const pixels = (name: string) => parseFloat(value(name)) * (value(name).endsWith('rem') ? 16 : 1);
  const paper = value('--paper');
  return {
    paper,
    ink: value('--ink'),
    second: value('--ink-2'),
    rule: value('--rule'),
    light: document.documentElement.dataset.light === 'sun' ? value('--rule-soft') : value('--rule'),
    grid: value('--grid'),
    wash: value('--pencil-wash'),
    pencil: value('--pencil'),
    hatch: value('--hatch'),
    hatchOpacity: parseFloat(value('--hatch-op')) || 0.6,
    hair: pixels('--l-hair') || 1,
    face: value('--face-text') || 'sans-serif',
    note: pixels('--t-note') || 13,
    label: pixels('--t-small') || 15,
  };
}

/** 45° hatching, seven pixels apart, as a fill. */
export function hatching(ink: Ink, ratio: number): CanvasPattern | string {
  const step = Math.round(7 * ratio * Math.SQRT2);
  const tile = document.createElement('canvas');
  tile.width = tile.height = step;
  const ctx = tile.getContext('2d');
  if (!ctx) return 'transparent';
  ctx.fillStyle = ink.paper;
  ctx.fillRect(0, 0, step, step);
  ctx.globalAlpha = ink.hatchOpacity;
  ctx.strokeStyle = ink.hatch;
  ctx.lineWidth = 1.3 * ratio;
  for (const shift of [-step, 0, step]) {
    ctx.beginPath();
    ctx.moveTo(shift - step, 2 * step);
    ctx.lineTo(shift + 2 * step, -step);
    ctx.stroke();
  }
  return ctx.createPattern(tile, 'repeat') ?? 'transparent';
}
