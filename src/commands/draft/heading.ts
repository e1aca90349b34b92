import { findUnit, type Unit, unitInWords } from '../../traits/units.js';

/** What the heading of a column says: the name of the character, and a unit where it has one. */
export interface Heading {
  readonly name: string;
  readonly unit: Unit | undefined;
  /** What stands in the place of a unit and is none. */
  readonly noUnit?: string;
}

const IN_BRACKETS = /^(.*?)\s*[([]\s*([^()[\]]*?)\s*[)\]]\s*$/;
/** What people write in brackets for numbers that are counted. */
const COUNTED = /^(?:|#|n|no\.?|nr\.?|number|count|counts|anzahl|zahl|1)$/i;
/** Short words that are units but may stand for something else at the end of a heading without brackets: `length min`. */
const UNCLEAR = new Set(['m', 'g', 's', 'h', 'd', 'l', 'L', 'min', '1']);

/**
 * Reads a heading: `cap width (cm)`, `cap width [CM]`, `cap width (inches)`, `cap width cm`. Only a column of numbers has a
 * unit; in any other, brackets are part of the name (`gills (young)`), and so are several words in brackets anywhere.
 */
export function readHeading(text: string, numeric: boolean): Heading {
  const [, before, inside = ''] = IN_BRACKETS.exec(text) ?? [];
  // Beside a unit words are slips of the pen.
  if (!numeric && (before === undefined || findUnit(inside) === undefined))
    return { name: text, unit: undefined };
  if (before !== undefined) {
    const unit = COUNTED.test(inside) ? undefined : unitInWords(inside);
    if (unit !== undefined || COUNTED.test(inside)) return { name: before, unit };
    return /\s/.test(inside)
      ? { name: text, unit: undefined }
      : { name: before, unit: undefined, noUnit: inside };
  }
  const [, name, word = ''] = /^(.*\S)\s+(\S+)$/.exec(text) ?? [];
  const unit = UNCLEAR.has(word) ? undefined : (findUnit(word) ?? unitInWords(word));
  return name === undefined || unit === undefined || UNCLEAR.has(unit.id)
    ? { name: text, unit: undefined }
    : { name, unit };
}

/** A heading without what stands in brackets at its end. */
export function withoutBrackets(text: string): string {
  return IN_BRACKETS.exec(text)?.[1] ?? text;
}
