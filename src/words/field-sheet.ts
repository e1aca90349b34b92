import type { Sheet, SheetLine } from '../analysis/field-sheet.js';
import { listed } from '../text/words.js';

/** What is written about each find, before its characters. */
export const ABOUT_FIND = [
  'number',
  'date',
  'place',
  'region',
  'by',
  'growing on, near',
  'photographs',
] as const;

/** How the blanks are filled in, so that the table can be typed from the sheet. */
export const HOW_TO_WRITE =
  'One column a specimen. Write the states that it shows; ? = looked, cannot tell; - = does not apply; leave empty what was not looked at. What was not seen (a base left in the ground, a ring that may have fallen off) is ?, never absent.';

/** What always goes for a gathering. */
export const GATHERING =
  'Take several of each kind, young and old, whole, with the base. Keep kinds apart. Nothing on this sheet clears a find for eating.';

/** What a character can show, to choose from or to fill in. */
export function choicesText({ character, states }: SheetLine): string {
  if (character.kind === 'choice') return states.map((s) => s.id).join(' | ');
  if (character.kind === 'count') return 'count several';
  return character.unit.id === '1' ? 'measure several' : `measure several, in ${character.unit.id}`;
}

/** When, with what and how long: `fresh; young or mature; lens, needle; takes 6 h`. */
export function needsText({ character }: SheetLine, part: string): string {
  const ages = listed(character.stages, 'or');
  return [
    ages === '' || part.includes(ages) ? '' : `${ages} ones`,
    character.tools.join(', '),
    character.wait === undefined ? '' : `takes ${character.wait}`,
  ]
    .filter((t) => t !== '')
    .join('; ');
}

/** `tarn-wood-tufts 0.4.0 and tarn-rust-spored 0.4.0`. */
export function keysText(sheet: Sheet): string {
  return listed(sheet.keys.map((k) => `${k.id} ${k.version}`));
}

/** a, b, c: what the columns of the specimens are called. */
export function specimenNames(many: number): string[] {
  return Array.from({ length: many }, (_, i) => String.fromCharCode(97 + i));
}
