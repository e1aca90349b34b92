import type { ConcernLevel } from '../key/key.js';
import type { Printed, PrintedCouplet, PrintedKey, PrintedLead } from '../printed/key.js';
import type { Span } from '../printed/names.js';
import type { FindingMark, Marks } from './marks.js';

/** A rectangle; x and y are its upper left corner. */
export interface Rectangle {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** How a line is set: titles, labels and names are bold. */
export type LineStyle = 'title' | 'label' | 'words' | 'name' | 'small';

/** A line of text in a picture. */
export interface DrawnLine {
  readonly style: LineStyle;
  readonly spans: readonly Span[];
  /** Where its letters stand: the left end of the base line. */
  readonly x: number;
  readonly y: number;
}

/** What a lead leads to, where that is not a couplet drawn beside it. */
export interface DrawnBand {
  readonly box: Rectangle;
  readonly kind: ConcernLevel | 'key' | 'couplet' | 'missing';
  readonly lines: readonly DrawnLine[];
  /** What to jump to, where that is in the picture. */
  readonly to: string | undefined;
}

/** A lead: its label and words, and below them a band for what it leads to. */
export interface DrawnLead {
  readonly lead: PrintedLead;
  readonly box: Rectangle;
  readonly label: DrawnLine;
  readonly words: readonly DrawnLine[];
  readonly bands: readonly DrawnBand[];
  readonly marks: readonly FindingMark[];
}

/** A couplet as a card that holds all its leads. */
export interface DrawnCouplet {
  readonly couplet: PrintedCouplet;
  /** Unlike that of any other part of the picture. */
  readonly anchor: string;
  readonly box: Rectangle;
  /** The number, on the left edge of the card. */
  readonly number: Rectangle;
  /** Where one comes from, where that is not only the lead that is joined to the card. */
  readonly from: readonly DrawnLine[];
  readonly leads: readonly DrawnLead[];
  readonly marks: readonly FindingMark[];
}

/** A line from a lead to the couplet it leads to. */
export interface DrawnBranch {
  readonly from: readonly [x: number, y: number];
  readonly to: readonly [x: number, y: number];
}

/** One key of the picture. */
export interface DrawnKey {
  readonly key: PrintedKey;
  /** undefined for the key that the picture is named after. */
  readonly title: DrawnLine | undefined;
  readonly anchor: string;
  readonly couplets: readonly DrawnCouplet[];
  readonly branches: readonly DrawnBranch[];
}

/** A whole picture, in pixels. */
export interface Drawing {
  readonly width: number;
  readonly height: number;
  readonly keys: readonly DrawnKey[];
  readonly printed: Printed;
  readonly marks: Marks;
}

/** Measures by which the picture is made; its writers use the same. */
export const SIZES = {
  /** Of the words of leads. */
  type: 12,
  /** Of the numbers of couplets and the names of taxa. */
  large: 13,
  /** Of what explains. */
  small: 11,
  title: 18,
  line: 15.5,
  card: 292,
  pad: 8,
  swatch: 18,
  disc: 30,
  mark: 15,
} as const;
