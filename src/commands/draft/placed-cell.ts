import type { Place } from '../../diagnostic/finding.js';

/** A cell with its place. */
export interface PlacedCell {
  readonly text: string;
  readonly place: Place;
}

/** `cap width (cm)` without its unit. */
export function unitless(head: string): string {
  return head.replace(/\s*[([][^()[\]]*[)\]]\s*$/, '').trim();
}
