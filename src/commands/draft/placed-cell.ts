import type { Place } from '../../diagnostic/finding.js';
import { partsOf } from '../../text/parts.js';
import { seemsNumber } from '../../traits/notation.js';

/** A cell with its place. */
export interface PlacedCell {
  readonly text: string;
  readonly place: Place;
}

/** What a cell says: `?` and nothing say nothing. */
export function saidIn(cell: PlacedCell): string[] {
  return partsOf(cell.text).filter((p) => p !== '?');
}

/** Whether the cells of a column are mostly numbers: one of words may hold a state such as `2-lobed`, and one of numbers a slip of the pen. */
export function holdNumbers(cells: readonly PlacedCell[]): boolean {
  const values = cells.flatMap(saidIn).filter((p) => p !== '-');
  return values.filter(seemsNumber).length * 2 > values.length;
}
