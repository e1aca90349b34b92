/** What `import` marks in a key for a person to look at, and what is left of these marks. */
import { blocksOf } from '../key/blocks.js';
import type { Key } from '../key/key.js';
import { type Comment, commentsOf } from './comments.js';

/** How surely a couplet was read: above it stands its place in the print with one of these, or what a person made of it. */
export const SURENESS = ['clear', 'likely', 'doubtful'] as const;
/** How surely a couplet was read. */
export type Sureness = (typeof SURENESS)[number];

/** The word that stands in place of the sureness once a person has looked at the couplet. */
export const REVIEWED = 'reviewed';
/** How a comment begins that says what a person has to look at. */
export const REVIEW = 'review:';

/** What is marked at one couplet. */
export interface CoupletMarks {
  /** The comment with its lines in the print; absent where there is none. */
  readonly head?: {
    readonly comment: Comment;
    /** As it stands there: `lines 23 and 67-68`. */
    readonly lines: string;
    readonly sure: Sureness | typeof REVIEWED;
  };
  /** The comments that ask for a look, in order. */
  readonly marks: readonly Comment[];
}

const HEAD = /^#\s*(?:printed .*, )?(lines? \d[\d, and-]*): (clear|likely|doubtful|reviewed)$/;
const MARK = /^#\s*review:/;
/** Texts without this have no marks, and finding comments costs another reading of the text. */
const LIKELY = /#\s*review:|#.*: (?:likely|doubtful|reviewed|clear)\s*$/m;

/** Whether a comment asks for a look at what stands below it. */
export function isMark({ text }: Comment): boolean {
  return MARK.test(text);
}

/** What is marked, by couplet; couplets without a mark are left out. */
export function reviewMarks(key: Key): Map<string, CoupletMarks> {
  const { lines } = key.yaml;
  const found = new Map<string, CoupletMarks>();
  if (!LIKELY.test(lines.text)) return found;
  const ids = [...key.couplets.keys()];
  const parts = ids.map((id) => ({
    start: key.yaml.place(['couplets', id], 'name').start.offset,
    end: key.yaml.place(['couplets', id]).end.offset,
  }));
  const blocks = blocksOf(lines, parts);
  if (blocks === undefined) return found;
  const comments = commentsOf(lines).filter((c) => c.alone);
  const last = blocks.length - 1;
  let at = 0;
  blocks.forEach(({ start, end }, i) => {
    const from = parts[i]?.start ?? start;
    const { column } = lines.at(from);
    let head: CoupletMarks['head'];
    const marks: Comment[] = [];
    for (; at < comments.length; at++) {
      const comment = comments[at] as Comment;
      const { offset } = comment.start;
      if (offset < start) continue;
      // What stands deeper than the last couplet belongs to it.
      if (offset > end && !(i === last && comment.start.column > column)) break;
      const [, place, sure] = HEAD.exec(comment.text) ?? [];
      if (offset < from && place !== undefined)
        head = {
          comment,
          lines: place,
          sure: sure as Sureness | typeof REVIEWED,
        };
      else if (isMark(comment)) marks.push(comment);
      if (i === last && offset > end && !isDirectlyBelow(comment, comments[at + 1])) {
        at++;
        break;
      }
    }
    if (head !== undefined || marks.length > 0)
      found.set(ids[i] as string, {
        ...(head === undefined ? {} : { head }),
        marks,
      });
  });
  return found;
}

/** Whether the next comment stands in the line below. */
function isDirectlyBelow({ start }: Comment, next: Comment | undefined): boolean {
  return next?.start.line === start.line + 1;
}

/** How surely a couplet still waits to be looked at: as it was read, or `clear` where only proposals do; undefined when it does not. */
export function waiting({ head, marks }: CoupletMarks): Sureness | undefined {
  if (head !== undefined && head.sure !== REVIEWED && head.sure !== 'clear') return head.sure;
  return marks.length > 0 ? 'clear' : undefined;
}
