import type { ConcernLevel } from '../key/key.js';

/** How a level of concern, or another end of a picture, is filled. */
export interface Ink {
  readonly fill: string;
  readonly text: string;
  readonly edge: string;
}

/**
 * The scheme for concern, our own: the worse, the darker, in one hue, so that grey paper and every eye keep the order; a
 * pattern beside it gets denser in the same order; and the words stand there too. No colour of it is a signal colour.
 */
export const CONCERN_INKS: Readonly<Record<ConcernLevel, Ink>> = {
  deadly: { fill: '#241236', text: '#ffffff', edge: '#241236' },
  severe: { fill: '#5d3f7d', text: '#ffffff', edge: '#3d2756' },
  upset: { fill: '#b9a3cc', text: '#17101e', edge: '#5d3f7d' },
  unknown: { fill: '#ece6f0', text: '#17101e', edge: '#8d7ca0' },
  'none-recorded': { fill: '#ffffff', text: '#17101e', edge: '#8d7ca0' },
};

/** The pattern of a level, 8 by 8, drawn in one colour on another. */
export const PATTERNS: Readonly<Record<ConcernLevel, string>> = {
  deadly: 'M0 0H5.6V8H0Z',
  severe: 'M0 0H8V1.6H1.6V8H0ZM4 4H8V5.6H5.6V8H4ZM4 0H5.6V4H4ZM0 4H4V5.6H0Z',
  upset: 'M-1 3L3 -1H5L-1 5ZM-1 11L11 -1H13L-1 13ZM5 13L13 5V7L7 13Z',
  unknown: 'M1 1H3V3H1ZM5 5H7V7H5Z',
  'none-recorded': '',
};
