/** How a paper is asked for. */
import type { Asked } from '../../api/ask';
import type { Format, Paper, Size } from './papers';

export interface Choices {
  size: Size;
  day: string;
  run: string;
  stall: string;
}
type Content = Record<string, unknown>;

export function question(paper: Paper, name: string, content: Content, format: Format, chosen: Choices): { path: string; asked: Asked } {
  const campaign = encodeURIComponent(name);
  switch (paper.paper) {
    case 'card':
      return { path: '/api/publish/card', asked: { json: { pull: content, paper: chosen.size, date: chosen.day, format } } };
    case 'pocket':
      return { path: '/api/publish/card', asked: { json: { pull: content, date: chosen.day, format: 'html' } } };
    case 'pull-plan':
    case 'pull-steps':
      return { path: '/api/publish/pull', asked: { json: { pull: content, sheet: paper.paper, format, light: 'print' } } };
    case 'report':
      return { path: `/api/campaigns/${campaign}/report`, asked: {} };
    case 'run-sheet':
      return { path: `/api/publish/campaigns/${campaign}/run-sheet`, asked: {} };
    case 'comparison':
      return { path: `/api/publish/campaigns/${campaign}/chart?format=${format}`, asked: {} };
    case 'trace':
      return { path: `/api/publish/campaigns/${campaign}/chart?format=${format}&run=${encodeURIComponent(chosen.run)}`, asked: {} };
    case 'workbook':
      return { path: `/api/publish/campaigns/${campaign}/workbook`, asked: {} };
    case 'open-data':
      return { path: `/api/publish/campaigns/${campaign}/bundle`, asked: {} };
    case 'rig-drawing':
      return { path: '/api/rig/draw', asked: { json: { rig: content, light: 'print', ...(chosen.stall ? { stall: chosen.stall } : {}) } } };
  }
}
