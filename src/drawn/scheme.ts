import { CONCERN_INKS, type Ink } from '../words/harm-inks.js';
import type { DrawnBand } from './drawing.js';

const OTHER: Ink = { fill: '#f3f1ea', text: '#17101e', edge: '#77715f' };

/** How what a lead leads to is filled. */
export function inkOf(kind: DrawnBand['kind']): Ink {
  return kind === 'key' || kind === 'couplet' || kind === 'missing' ? OTHER : CONCERN_INKS[kind];
}
