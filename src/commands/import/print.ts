/**
 * From the text of a printed key to key files. The stages: clean lines, pages taken out, parts with a key each, labels,
 * couplets under every likely layout, ends and names, targets, the reading that holds together best, proposals, YAML.
 */
import type { Finding } from '../../diagnostic/finding.js';
import { Lines } from '../../diagnostic/lines.js';
import { byCodeUnit, count } from '../../text/words.js';
import { type ImportedKey, joinedKey, separateKeys } from './assemble.js';
import type { Layout } from './draft.js';
import { nameDrafts, nameOwnDrafts, namesIn, ownDrafts, readDrafts } from './drafts.js';
import { unfolded } from './folds.js';
import { writeOutGenera } from './genera.js';
import { withoutGutters } from './gutters.js';
import { languageOf } from './lexicon.js';
import { type Line, readLines } from './lines.js';
import { isWeak, type Remark } from './linked.js';
import { readOwnPrint } from './own-print.js';
import { withoutPageEdges } from './page-edges.js';
import { withoutPages } from './pages.js';
import { wordsOf } from './pieces.js';
import { withoutPlates } from './plates.js';
import { findingOf, looseRemarks, ownRemarks, unsureRemark, weakRemark, wordRemarks } from './remarks.js';
import type { About } from './tabular/table.js';

export type { ImportedKey } from './assemble.js';
export { LAYOUTS, type Layout } from './draft.js';

/** What the author can state about a printed key. */
export interface ImportOptions {
  /** What the text is called in messages. */
  readonly file: string;
  /** The layout; found out when not given. */
  readonly layout?: Layout;
  /** Of the key; made from the title when not given. */
  readonly id?: string;
  /** Of the key; the heading when not given. */
  readonly title?: string;
  /** The source in words; absent when it is not to be named. */
  readonly cite?: string;
  /** A language tag such as `en`; found out when not given. */
  readonly language?: string;
  /** Propose conditions; true when not given. */
  readonly when?: boolean;
  /** Join all keys of the text into one. */
  readonly asOne?: boolean;
  /** The file of which the text is a reading: its own text, and the line in it of each line of the reading. */
  readonly source?: {
    readonly text: string;
    readonly numbers: readonly number[];
    /** What the file says of itself. */
    readonly about?: About | undefined;
  };
}

/** The result of an import: no keys when the text holds none. Findings are about lines of the printed text. */
export interface Imported {
  /** In the order of the text. */
  readonly keys: readonly ImportedKey[];
  /** What is wrong with the print, or could not be read with certainty. */
  readonly findings: readonly Finding[];
}

/** Turns the plain text of one or several printed keys into key files. */
export function importText(written: string, options: ImportOptions): Imported {
  const text = written.replace(/\r\n?/g, '\n');
  const all = readLines(text, options.source?.numbers);
  const own = options.layout === undefined ? readOwnPrint(all) : undefined;
  const edged = own === undefined ? withoutPageEdges(all) : { lines: all, furniture: [] };
  const apart = own === undefined ? withoutGutters(edged.lines) : { lines: all, columns: [] };
  const plated = own === undefined ? withoutPlates(apart.lines) : { lines: all, furniture: [] };
  const paged = own === undefined ? withoutPages(plated.lines) : { lines: all, furniture: [] };
  const kept = paged.lines;
  const inOrder = (all: readonly Line[]) => [...all].sort((a, b) => a.row - b.row);
  const heads = inOrder([...edged.furniture, ...paged.furniture]);
  const furniture = inOrder([...heads, ...plated.furniture]);
  const { lines, columns, runIn } =
    own === undefined ? unfolded(kept) : { lines: kept, columns: [], runIn: [] };
  const { drafts: read, lost } =
    own === undefined
      ? readDrafts(lines, wordsOf(lines.map((l) => l.raw)), options.layout)
      : { drafts: ownDrafts(own), lost: own.rest };
  if (read.length === 0) return { keys: [], findings: [] };
  const about = options.source?.about;
  const drafts = about === undefined ? read : read.map((draft) => ({ ...draft, about }));
  const names = namesIn(lines);
  if (own === undefined) nameDrafts(drafts, options, names);
  else nameOwnDrafts(drafts, options);
  if (own === undefined) for (const draft of drafts) writeOutGenera(draft);
  const last = drafts.at(-1);
  if (last !== undefined) last.after = lost;
  for (const draft of drafts)
    draft.remarks.push(
      ...wordRemarks(draft.linked),
      ...(own === undefined ? looseRemarks(draft) : ownRemarks(draft)),
      ...(isWeak(draft.linked) ? [weakRemark(draft)] : draft.unsure ? [unsureRemark(draft)] : []),
    );
  const common = {
    file: options.file,
    cite: options.cite,
    language: options.language ?? languageOf(text),
    when: options.when !== false,
    id: options.id,
    title: options.title,
    furniture,
    names,
  };
  const keys = options.asOne === true ? [joinedKey(drafts, common)] : separateKeys(drafts, common);
  const places = new Lines(options.source?.text ?? text);
  const findings = [
    ...drafts.flatMap((d) => d.remarks.filter((r) => r.silent !== true)),
    ...furnitureRemarks(heads, 'page numbers and running heads'),
    ...furnitureRemarks(plated.furniture, 'figures, footnotes and rules'),
    ...foldRemarks(
      [...apart.columns, ...columns],
      'two columns side by side, read as the left one and then the right one',
    ),
    ...foldRemarks(runIn, 'several leads on one line, read one by one'),
  ]
    .map((remark) => findingOf(remark, places, options.file))
    .sort((a, b) => a.place.start.offset - b.place.start.offset || byCodeUnit(a.message, b.message));
  return { keys, findings };
}

/** Lines that were split because they hold several leads. */
function foldRemarks(numbers: readonly number[], what: string): Remark[] {
  const [first] = numbers;
  if (first === undefined) return [];
  const named = numbers.slice(0, 8);
  const more = numbers.length > named.length ? ' and more' : '';
  return [
    {
      rule: 'line-placed',
      level: 'warning',
      line: first,
      message: `${what}: lines ${named.join(', ')}${more}`,
    },
  ];
}

function furnitureRemarks(furniture: readonly Line[], what: string): Remark[] {
  const [first] = furniture;
  if (first === undefined) return [];
  const numbers = furniture.slice(0, 8).map((l) => l.number);
  const more = furniture.length > numbers.length ? ' and more' : '';
  return [
    {
      rule: 'line-placed',
      level: 'note',
      line: first.number,
      message: `${count(furniture.length, 'line')} taken for ${what}, kept as comments: ${numbers.join(', ')}${more}`,
    },
  ];
}
