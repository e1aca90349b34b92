/** A key whose leads are joined to what they lead to. */
import type { Group, Item, Outline } from './draft.js';
import type { How } from './split-lead.js';
import type { ImportedEnd } from './targets.js';

/** How a lead's target is known. */
type Via = 'printed' | 'below' | 'next' | 'back' | 'guess';

/** Where a lead goes. */
type LinkedTarget =
  | {
      readonly kind: 'couplet';
      readonly couplet: LinkedCouplet;
      readonly via: Via;
      readonly end?: ImportedEnd;
    }
  | { readonly kind: 'taxa'; readonly end: ImportedEnd; readonly via: Via }
  | { readonly kind: 'key'; readonly name: string; readonly end: ImportedEnd }
  | { readonly kind: 'nowhere'; readonly printed: string; readonly end: ImportedEnd }
  | { readonly kind: 'several'; readonly printed: string }
  | { readonly kind: 'none' };

/** A lead with what it leads to. */
export interface LinkedLead {
  readonly item: Item;
  readonly words: string;
  readonly how: How | undefined;
  target: LinkedTarget;
}

/** A couplet with its leads joined to what they lead to. */
export interface LinkedCouplet {
  id: string;
  readonly group: Group;
  readonly leads: LinkedLead[];
}

/** Something to tell the author, at a line of the text. */
export interface Remark {
  readonly rule: string;
  readonly level: 'error' | 'warning' | 'note';
  readonly line: number;
  readonly message: string;
  /** The couplet whose confidence it lowers. */
  readonly couplet?: LinkedCouplet;
  /** It was said of another couplet, and only lowers the confidence of this one. */
  readonly silent?: boolean;
}

/** One reading of a key, all of it joined. */
export interface Linked {
  readonly outline: Outline;
  readonly couplets: readonly LinkedCouplet[];
  readonly remarks: readonly Remark[];
  /** Whether couplets are printed under the lead that they follow, and not pointed to by numbers. */
  readonly nested: boolean;
  readonly score: number;
}

/** A reading in which so little holds together that no couplet of it is sure: where nothing is pointed to by numbers. */
export function isWeak({ nested, outline, score, couplets }: Linked): boolean {
  if (outline.blurred === true) return true;
  return nested && score < couplets.reduce((n, c) => n + c.leads.length, 0) / 2;
}

/** `3b`; for couplets without a printed number, the words serve. */
export function labelOf(couplet: LinkedCouplet, lead: LinkedLead): string {
  const index = couplet.leads.findIndex((l) => l.item === lead.item);
  const name = couplet.id === '' ? (couplet.group.name ?? '') : couplet.id;
  return `${name}${String.fromCharCode(97 + (Math.max(0, index) % 26))}`;
}

/** The name by which a heading is pointed to: `Group A` of `GROUP A. WOODY PLANTS`. */
export function anchorName(text: string): string {
  return text
    .toLowerCase()
    .replace(/^(?:the|der|die|das)\s+/, '')
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim()
    .replace(
      /^((?:key|group|section|series|division|class|table|part|abteilung|reihe|schlüssel|gruppe|tabelle|teil|abschnitt)\s+(?:[a-z]|[ivxlc]+|\d{1,3}))(?:\s.*)?$/u,
      '$1',
    );
}

/** A remark on a lead, which it names as the key will print it. */
export function leadRemark(
  rule: string,
  level: Remark['level'],
  lead: LinkedLead,
  couplet: LinkedCouplet,
  message: string,
): Remark {
  return {
    rule,
    level,
    line: lead.item.line.number,
    message: `lead ${labelOf(couplet, lead)}: ${message}`,
    couplet,
  };
}
