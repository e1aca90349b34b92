/** Makes key files from the keys that were read: one each, or all joined into one. */
import { quoted } from '../../text/harmless.js';
import { slug } from '../../text/slug.js';
import type { ReadAs } from './draft.js';
import { type KeyDraft, titleCase } from './drafts.js';
import type { Line } from './lines.js';
import { anchorName, type LinkedCouplet, type LinkedLead, labelOf, type Remark } from './linked.js';
import { propose } from './proposals.js';
import { isHeadingText } from './sections.js';
import { Taxa } from './taxa.js';
import { confidenceOf, writeKey } from './write.js';

/** One key file made from the text. */
export interface ImportedKey {
  /** Of the key. */
  readonly id: string;
  /** Of the key. */
  readonly title: string;
  /** The text of the key file. */
  readonly text: string;
  /** How the print was laid out. */
  readonly layout: ReadAs;
  /** The line of its first lead. */
  readonly line: number;
  /** How many. */
  readonly couplets: number;
  /** How many. */
  readonly leads: number;
  /** How many. */
  readonly taxa: number;
  /** How many conditions were proposed, all to be reviewed. */
  readonly proposed: number;
  /** How many leads have an end. */
  readonly ends: number;
  /** How many couplets are doubtful. */
  readonly doubtful: number;
  /** How many faults the print has here. */
  readonly faults: number;
}

/** What holds for all keys of a text. */
export interface Common {
  /** What the text is called. */
  readonly file: string;
  readonly cite: string | undefined;
  readonly language: string | undefined;
  readonly when: boolean;
  readonly id: string | undefined;
  readonly title: string | undefined;
  /** Lines of pages, in order. */
  readonly furniture: readonly Line[];
  /** Words that are names, whatever capitals they are set in. */
  readonly names: ReadonlySet<string>;
}

/** Each draft as a key of its own. */
export function separateKeys(drafts: readonly KeyDraft[], common: Common): ImportedKey[] {
  const keyNamed = keyNames(drafts);
  const begins = drafts.map((d) => (d.headings[0] ?? d.linked.outline.items[0]?.line)?.row ?? 0);
  let page = 0;
  return drafts.map((draft, n) => {
    const next = begins[n + 1] ?? Number.POSITIVE_INFINITY;
    const from = page;
    while (page < common.furniture.length && (common.furniture[page] as Line).row < next) page++;
    const furniture = common.furniture.slice(from, page);
    return keyOf([draft], common, { id: draft.id, title: draft.title, keyNamed, furniture, opening: [] });
  });
}

/** What is particular to one key. */
interface Particular {
  readonly id: string;
  readonly title: string;
  readonly furniture: readonly Line[];
  readonly keyNamed: ReturnType<typeof keyNames>;
  readonly opening: readonly { readonly words: string; readonly to: string }[];
}

function keyOf(drafts: readonly KeyDraft[], common: Common, particular: Particular): ImportedKey {
  const { id, title, opening, keyNamed } = particular;
  for (const draft of drafts) continueInKeys(draft, keyNamed, id);
  const linked = drafts.map((d) => d.linked);
  const taxa = new Taxa();
  taxa.addAll(linked);
  const couplets = linked.flatMap((l) => l.couplets);
  const proposals = common.when ? propose(couplets, common.language) : undefined;
  for (const draft of drafts) for (const remark of unknownKeys(draft, keyNamed)) draft.remarks.push(remark);
  const first = drafts[0] as KeyDraft;
  const text = writeKey({
    id,
    title,
    language: common.language,
    cite: common.cite,
    from: common.file.replace(/^.*[/\\]/, ''),
    layout: first.layout,
    version: first.stated?.version,
    licence: first.stated?.licence,
    glossary: first.stated?.terms ?? [],
    about: first.about,
    linked,
    taxa,
    proposals,
    opening,
    openingId: OPENING,
    before: [...first.before, ...first.headings],
    after: drafts.flatMap((d) => d.after),
    furniture: particular.furniture,
    remarks: drafts.flatMap((d) => d.remarks),
    keyNamed,
    unsure: drafts.some((d) => d.unsure),
  });
  return {
    id,
    title,
    text,
    layout: first.layout,
    line: linked[0]?.outline.items[0]?.line.number ?? 1,
    couplets: couplets.length + (opening.length === 0 ? 0 : 1),
    leads: couplets.reduce((n, c) => n + c.leads.length, opening.length),
    taxa: taxa.all.length,
    proposed: proposals?.tests.size ?? 0,
    ends: couplets.reduce((n, c) => n + c.leads.filter(hasEnd).length, opening.length),
    doubtful: doubtfulOf(drafts),
    faults: drafts.reduce((n, d) => n + d.remarks.filter((r) => r.level === 'error').length, 0),
  };
}

function hasEnd({ target }: LinkedLead): boolean {
  return target.kind === 'couplet' || target.kind === 'taxa' || target.kind === 'key';
}

/** How many couplets are doubtful. */
function doubtfulOf(drafts: readonly KeyDraft[]): number {
  let doubtful = 0;
  for (const { linked, remarks } of drafts) {
    const said = new Map<LinkedCouplet, Remark[]>();
    for (const remark of remarks)
      if (remark.couplet !== undefined)
        said.set(remark.couplet, [...(said.get(remark.couplet) ?? []), remark]);
    for (const couplet of linked.couplets)
      if (confidenceOf(couplet, linked, said.get(couplet) ?? []).level === 'doubtful') doubtful++;
  }
  return doubtful;
}

/** The couplet made from the headings of joined keys. */
const OPENING = 'start';

/** `2b, in FAGACEAE`: goes on in the key to that family, where the text has it; else it ends there. */
function continueInKeys(draft: KeyDraft, keyNamed: Particular['keyNamed'], own: string): void {
  for (const { leads } of draft.linked.couplets) {
    for (const lead of leads) {
      const { target } = lead;
      if (target.kind !== 'taxa' || target.end.continues === undefined) continue;
      const [name, ...others] = target.end.names;
      if (name === undefined || others.length > 0) continue;
      const { id, known } = keyNamed(name.name);
      if (!known || id === own) continue;
      const at = /^[A-Z]?\d+/.exec(target.end.continues)?.[0];
      lead.target = {
        kind: 'key',
        name: name.name,
        end: { ...target.end, reaches: name, ...(at === undefined ? {} : { at }) },
      };
    }
  }
}

/** Leads that continue in a key that the text does not have. */
function unknownKeys(draft: KeyDraft, keyNamed: Particular['keyNamed']): Remark[] {
  return draft.linked.couplets.flatMap((couplet) =>
    couplet.leads.flatMap((lead): Remark[] => {
      if (lead.target.kind !== 'key' || keyNamed(lead.target.name).known) return [];
      return [
        {
          rule: 'target-exists',
          level: 'error',
          line: lead.item.lastLine.number,
          couplet,
          message: `lead ${labelOf(couplet, lead)}: continues in ${quoted(lead.target.name)}, which is not in this text`,
        },
      ];
    }),
  );
}

/** Finds the key of the text that a lead names: `Key B`, `key to the ochre-spored agarics`. */
function keyNames(drafts: readonly KeyDraft[]): (printed: string) => { id: string; known: boolean } {
  const byName = new Map<string, string>();
  for (const draft of drafts) {
    for (const line of draft.headings) byName.set(anchorName(line.text), draft.id);
    byName.set(anchorName(draft.title), draft.id);
  }
  return (printed) => {
    const wanted = anchorName(printed);
    const found =
      byName.get(wanted) ??
      [...byName].find(([name]) => name.split(' ')[0] === wanted && wanted.length > 5)?.[1] ??
      [...byName].find(([name]) => wanted.length > 5 && name.includes(wanted))?.[1];
    return found === undefined
      ? { id: slug(printed) || 'other-key', known: false }
      : { id: found, known: true };
  };
}

/** All drafts in one key: couplets get a letter before their number, and a couplet made from the headings opens it. */
export function joinedKey(drafts: readonly KeyDraft[], common: Common): ImportedKey {
  const named = keyNames(drafts);
  const starts = new Map<string, LinkedCouplet>();
  drafts.forEach((draft, n) => {
    const letter = letters(n);
    for (const couplet of draft.linked.couplets)
      couplet.id =
        drafts.length === 1
          ? couplet.id
          : /^\d/.test(couplet.id)
            ? `${letter}${couplet.id}`
            : `${letter}.${couplet.id}`;
    const start = draft.linked.couplets[0];
    if (start !== undefined) starts.set(draft.id, start);
  });
  const referred = new Set<string>();
  for (const draft of drafts) {
    for (const couplet of draft.linked.couplets) {
      for (const lead of couplet.leads) {
        if (lead.target.kind !== 'key') continue;
        const { id, known } = named(lead.target.name);
        const start = starts.get(id);
        if (!known || start === undefined || id === draft.id) continue;
        referred.add(id);
        const { end } = lead.target;
        const at = drafts.find((d) => d.id === id)?.linked.couplets.find((c) => c.group.name === end.at);
        const couplet = end.at === undefined ? start : (at ?? start);
        lead.target = { kind: 'couplet', couplet, via: 'printed', end };
      }
    }
  }
  const open = drafts.filter((d) => !referred.has(d.id));
  const roots = open.length === 0 ? drafts.slice(0, 1) : open;
  const opening =
    roots.length < 2
      ? []
      : roots.map((d) => ({
          words:
            d.remark !== '' && /^\(/.test(d.remark) && d.remark.length < 300
              ? `${d.title} ${d.remark}`
              : d.title,
          to: d.linked.couplets[0]?.id ?? '',
        }));
  // The root must come first: keying begins at the first couplet of the file.
  const ordered = roots.length === 1 ? [...roots, ...drafts.filter((d) => d !== roots[0])] : drafts;
  for (const draft of ordered.slice(1)) {
    const first = draft.linked.outline.items[0];
    if (first !== undefined) first.loose = [...draft.before, ...draft.headings, ...first.loose];
  }
  const heading = roots.length === 1 ? roots[0]?.title : titleOver(drafts, common.names);
  const title = common.title ?? heading ?? drafts[0]?.title ?? '';
  const id = common.id ?? (slug(title.replace(/^(?:the|key to the|key to)\s+/i, ''), 50) || 'printed-key');
  const { furniture } = common;
  return keyOf(ordered, common, { id, title, furniture, keyNamed: named, opening });
}

/** A heading above the headings of all keys. */
function titleOver(drafts: readonly KeyDraft[], names: ReadonlySet<string>): string | undefined {
  const above = drafts[0]?.before.find((l) => isHeadingText(l.text));
  return above === undefined ? undefined : titleCase(above.text, names);
}

function letters(n: number): string {
  return n < 26
    ? String.fromCharCode(65 + n)
    : letters(Math.floor(n / 26) - 1) + String.fromCharCode(65 + (n % 26));
}
