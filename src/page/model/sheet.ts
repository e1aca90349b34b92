import { type Sheet, type SheetLine, sheetFor } from '../../analysis/field-sheet.js';
import type { Character } from '../../traits/character.js';
import { stateIndices } from '../../traits/state-set.js';
import { readValue, type Value } from '../../traits/value.js';
import { coupletName } from '../../words/couplet.js';
import { looksInWords } from '../../words/determination.js';
import { needsText } from '../../words/field-sheet.js';
import type { OpenFind } from './find.js';

/** The characters of a key as a list to be filled in in any order, with what is known of a find. */
export interface SheetView {
  /** What to look at next, the best first. */
  readonly next: readonly NextView[];
  /** What has to be looked at at the same time. */
  readonly parts: readonly { readonly heading: string; readonly lines: readonly SheetLineView[] }[];
  readonly sheet: Sheet;
}

/** A character that is worth looking at. */
export interface NextView {
  readonly character: string;
  /** With when, how and what it may show. */
  readonly text: string;
}

/** One character of the list. */
export interface SheetLineView {
  readonly character: Character;
  /** When, with what and how long. */
  readonly needs: string;
  /** What was entered for what is looked at now: the numbers of the states, or as it is written; undefined where nothing was. */
  readonly entered: EnteredView | undefined;
  /** What else is known of it: on other specimens, by answers. */
  readonly others: readonly KnownView[];
}

/** What was entered of a character on the specimen that is looked at. */
export interface EnteredView {
  readonly kind: 'states' | 'numbers' | 'cannot tell' | 'does not apply';
  readonly states: readonly number[];
  readonly written: string;
}

/** Something known of a character that is not entered in its own line. */
export interface KnownView {
  readonly shows: string;
  /** The couplet whose answer says so; undefined for an observation. */
  readonly couplet: string | undefined;
  readonly specimen: string | undefined;
  readonly stage: string | undefined;
}

/** The list for a find. */
export function sheetView(open: OpenFind): SheetView {
  const { keying } = open;
  const sheet = sheetOf(open);
  const evidence = keying.seen;
  const now = keying.readFrom;
  const lineView = (line: SheetLine, heading: string): SheetLineView => {
    const { character } = line;
    const own = evidence.filter((e) => e.character === character.id);
    const here = own.find((e) => e.specimen === now.specimen && e.stage === now.stage);
    const others = own
      .filter((e) => e !== here)
      .map(({ shows, specimen, stage }): KnownView => ({ shows, couplet: undefined, specimen, stage }));
    const told = keying.answers.flatMap((answer) =>
      (answer.shows ?? [])
        .filter((s) => s.character === character.id)
        .map(({ shows }): KnownView => {
          const { specimen, stage, couplet, lead } = answer;
          return { shows, couplet: `${coupletName(couplet)}${lead}`, specimen, stage };
        }),
    );
    return {
      character,
      needs: needsText(line, heading),
      entered: here === undefined ? undefined : enteredView(character, here.shows),
      others: [...others, ...told],
    };
  };
  return {
    next: looksInWords(open.analysis().analysis.next.looks).map(({ character, text }) => ({
      character: character.id,
      text,
    })),
    parts: sheet.parts.map(({ heading, lines }) => ({
      heading,
      lines: lines.map((line) => lineView(line, heading)),
    })),
    sheet,
  };
}

const sheets = new WeakMap<object, Sheet>();

/** The characters of a key do not change while the page is open. */
export function sheetOf({ key }: Pick<OpenFind, 'key'>): Sheet {
  const known = sheets.get(key) ?? sheetFor([key.chain]);
  sheets.set(key, known);
  return known;
}

function enteredView(character: Character, shows: string): EnteredView {
  const read = readValue(character, shows);
  const value = read.ok ? read.value : undefined;
  if (value === undefined) return { kind: 'cannot tell', states: [], written: '' };
  if (value.kind === 'inapplicable') return { kind: 'does not apply', states: [], written: '' };
  if (value.kind === 'states') return { kind: 'states', states: stateIndices(value.set), written: shows };
  return { kind: 'numbers', states: [], written: shows };
}

/** The value of some states of a character; undefined where there is none. */
export function valueOfStates(character: Character, states: readonly number[]): Value | undefined {
  const ids = states.flatMap((i) => character.states[i]?.id ?? []);
  const read = readValue(character, ids);
  return read.ok ? read.value : undefined;
}
