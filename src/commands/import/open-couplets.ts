/** The couplets that further leads can still belong to, the innermost last. */
import type { Group, Item } from './draft.js';
import { isQuestion } from './items.js';
import type { Label } from './labels.js';
import type { LinePiece } from './pieces.js';

/** A couplet while its leads are gathered. */
export interface OpenCouplet {
  readonly key: string;
  readonly style: string;
  readonly group: Group;
  readonly indent: number;
  ordinal: number;
  /** Words before all leads of the couplet. */
  stem?: readonly LinePiece[];
  mark: number | undefined;
  markSystem: Label['markSystem'];
}

/** No lead is looked for further out: no key is nested deeper, and in a long key no line may take long. */
const DEEPEST = 40;

/** The open couplets of a reading. */
export class OpenCouplets {
  readonly #stack: OpenCouplet[] = [];
  readonly #byKey = new Map<string, OpenCouplet>();
  readonly #byStyle = new Map<string, OpenCouplet[]>();
  readonly #unfilled: OpenCouplet[] = [];

  /** The innermost one. */
  get top(): OpenCouplet | undefined {
    return this.#stack[this.#stack.length - 1];
  }

  /** The one whose leads have that label. */
  withKey(key: string): OpenCouplet | undefined {
    return this.#byKey.get(key);
  }

  /** Those whose labels are set alike, the innermost last. */
  withStyle(style: string): readonly OpenCouplet[] {
    return (this.#byStyle.get(style) ?? []).slice(-DEEPEST);
  }

  /** Those that have only one lead so far, counted from the innermost (0). */
  unfilled(nth: number): OpenCouplet | undefined {
    return this.#unfilled.at(-1 - nth);
  }

  /** From the innermost outward. */
  *outward(): Iterable<OpenCouplet> {
    for (let d = this.#stack.length - 1, steps = 0; d >= 0 && steps < DEEPEST; d--, steps++)
      yield this.#stack[d] as OpenCouplet;
  }

  /** The one whose labels are at an indent, when all inside it are further in. */
  atIndent(indent: number): OpenCouplet | undefined {
    for (const open of this.outward()) {
      if (open.indent === indent) return open;
      if (open.indent < indent) return undefined;
    }
    return undefined;
  }

  /** The one outside the innermost whose labels are at an indent further out. */
  atOwnIndent(indent: number): OpenCouplet | undefined {
    return (this.top?.indent ?? 0) > indent ? this.atIndent(indent) : undefined;
  }

  /** The one that a dash at an indent continues. */
  forDash(indent: number): OpenCouplet | undefined {
    const { top } = this;
    const level = this.atOwnIndent(indent);
    if (level !== undefined || top === undefined) return level ?? top;
    const unfilled = this.unfilled(0);
    if (top.group.leads.length >= 2 && unfilled !== undefined && unfilled !== top) {
      const toTop = Math.abs(top.indent - indent);
      const toUnfilled = Math.abs(unfilled.indent - indent);
      const openLead = !(unfilled.group.leads[0]?.ended ?? false);
      return toUnfilled < toTop || (toUnfilled === toTop && openLead) ? unfilled : top;
    }
    const outer = this.unfilled(1);
    if (top.group.leads.length !== 1 || unfilled !== top || outer === undefined) return top;
    // Indentation may show that the couplet above is left with one lead; then the dash does not belong to it.
    const ended = top.group.leads[0]?.ended === true;
    return outer.indent === indent && Math.abs(top.indent - indent) > 1 && ended ? outer : top;
  }

  /** Opens a couplet with its first lead. */
  add(open: OpenCouplet): void {
    this.#stack.push(open);
    this.#byKey.set(open.key, open);
    const alike = this.#byStyle.get(open.style);
    if (alike === undefined) this.#byStyle.set(open.style, [open]);
    else alike.push(open);
    this.#unfilled.push(open);
  }

  /** Closes all couplets inside one that gets another lead. */
  returnTo(open: OpenCouplet): void {
    while (this.top !== open) this.#close();
    if (this.#unfilled.at(-1) === open) this.#unfilled.pop();
  }

  #close(): void {
    const open = this.#stack.pop();
    if (open === undefined) throw new Error('the couplet is not open');
    if (this.#byKey.get(open.key) === open) this.#byKey.delete(open.key);
    this.#byStyle.get(open.style)?.pop();
    if (this.#unfilled.at(-1) === open) this.#unfilled.pop();
  }
}

/** Whether a lead with that mark (`a`, `'`) can be a further one of the couplet. */
export function fitsMark(open: OpenCouplet, mark: number | undefined): boolean {
  if (mark === undefined) return open.mark === undefined || open.group.leads.length === 1;
  if (open.mark === undefined) return mark >= open.group.leads.length;
  // Some books call the first lead 1'' and the second 1'.
  return mark > open.mark || (mark < open.mark && open.group.leads.length === 1);
}

/**
 * Whether a first lead that has only its number continues after a letter: `1.` with `a)` on the line below, or
 * `1. Has it wings?` with `a. Yes` below; the words of the question then belong to all leads of the couplet.
 */
export function takesFirstLetter(last: Item, top: OpenCouplet): boolean {
  if (last.label?.readings[0]?.system === 'number' && last.pieces.every((p) => p.text === '')) return true;
  if (top.mark !== undefined || !isQuestion(last)) return false;
  top.stem = [...last.pieces];
  return true;
}
