/** What the stages of an import pass on: a part of the text, its leads, its couplets. */

import type { Label, System } from './labels.js';
import type { Line, LinePlace } from './lines.js';
import type { LinePiece } from './pieces.js';
import type { EndContext, SplitLead } from './split-lead.js';

/** The layouts of printed keys, by the names that the option takes. */
export const LAYOUTS = ['numbered', 'first-numbered', 'serial', 'outline', 'indented'] as const;
/** One of the layouts. */
export type Layout = (typeof LAYOUTS)[number];
/** How a key was read: in a layout of print, or from the cells of a table. */
export type ReadAs = Layout | 'table';

/** An end on a line of its own begins at least this much further right than the words of its lead. */
export const FAR_RIGHT = 16;

/** A part of the text that holds one key: its lines, with all that can be known of each by itself. */
export interface TextSection {
  readonly lines: readonly Line[];
  /** What may be a label at the beginning of each line. */
  readonly labels: readonly (Label | undefined)[];
  /** Whether the end of a lead is on the line, in a column or after dots. */
  readonly ended: readonly boolean[];
  /** Whether that end is the number of a couplet. */
  readonly pointers: readonly boolean[];
  /** The numbers in which lines end. */
  readonly pointed: ReadonlySet<string>;
  readonly context: EndContext;
  /** Whether the words of these lines close with what can only be an end: two words of Latin, or a name with its number or page. */
  surelyEnded(pieces: readonly LinePiece[]): boolean;
  /** Whether the words of these lines close with a name. */
  wordEnd(pieces: readonly LinePiece[]): boolean;
}

/** A lead as read from its lines. */
export interface Item {
  readonly pieces: LinePiece[];
  /** Missing where the print has none. */
  readonly label: Label | undefined;
  /** Which lead of its couplet the print says it is, from 0. */
  mark: number | undefined;
  markSystem: Label['markSystem'];
  readonly indent: number;
  /** Its first line. */
  readonly line: LinePlace;
  lastLine: LinePlace;
  /** Whether an end is on one of its lines. */
  ended: boolean;
  /** The numbers of the lines with an end in a column or after dots; more than one may hide a lead. */
  ends: number[];
  /** The numbers of its lines that begin with what may be a label. */
  suspects: number[];
  /** What the print adds below the lead. */
  notes?: readonly string[];
  /** Whether its words refer to figures of the source. */
  readonly figures?: boolean;
  /** Lines between the previous lead and this one that belong to neither. */
  loose: readonly Line[];
  split?: SplitLead;
}

/** Leads that belong together. */
export interface Group {
  /** What the print calls the couplet; undefined where only its leads have labels. */
  readonly name: string | undefined;
  readonly system: System | undefined;
  readonly leads: Item[];
  /** The lead right before its first one, when that was still open: the couplet may belong under it. */
  readonly under: Item | undefined;
  readonly back: readonly string[];
  /** Whether the print has used this name before. */
  readonly again: boolean;
}

/** A key under one reading of the layout. */
export interface Outline {
  readonly layout: Layout;
  readonly groups: readonly Group[];
  /** All leads in the order of the text. */
  readonly items: readonly Item[];
  /** Lines after the last lead. */
  readonly after: readonly Line[];
  /** Labels that do not fit the reading, by line. */
  readonly oddities: readonly { readonly line: number; readonly what: string }[];
  /** Many lines stop as openings do, and which leads they open cannot be told: no couplet is sure. */
  readonly blurred?: boolean;
}
