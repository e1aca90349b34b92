/** What `print` writes as HTML and Markdown: nothing has to be guessed, for its parts are marked. */

import { slug } from '../../../text/slug.js';
import type { KeyDraft } from '../drafts.js';
import { ownEnd } from '../own-ends.js';
import { letter } from '../own-print.js';
import type { Imported, ImportOptions } from '../print.js';
import type { ImportedEnd } from '../targets.js';
import { readCouplets } from './couplets.js';
import type { ReadRow } from './grouping.js';
import { draftOf, finished, nameAsWanted } from './read.js';
import { plainCell } from './table.js';

/** A lead as it is printed. */
export interface OwnLead {
  readonly label: string;
  readonly words: string;
  readonly end: string | undefined;
  readonly note: string | undefined;
  /** How deep it stands below others. */
  readonly level: number;
  readonly line: number;
}

/** A key as it is printed. */
export interface OwnTableKey {
  readonly title: string;
  readonly imprint: string;
  readonly leads: readonly OwnLead[];
}

/** A whole print. */
export interface OwnDocument {
  readonly keys: readonly OwnTableKey[];
  readonly terms: readonly (readonly [term: string, meaning: string])[];
  readonly signature: string;
}

export const SIGNATURE = /^Printed by keywright \d/;
const NOTHING = { names: [], outside: false, inPart: false, remarks: [], form: 2 } as const;

/** The keys of a print; undefined when its lines were changed so that the rules fail. */
export function ownKeys(text: string, document: OwnDocument, options: ImportOptions): Imported | undefined {
  const id = /\bfrom ([a-z0-9][a-z0-9-]*) \S+?\.?$/.exec(document.signature)?.[1];
  const used = new Set<string>();
  const drafts: KeyDraft[] = [];
  for (const [n, key] of document.keys.entries()) {
    const rows = rowsOf(key.leads);
    if (rows === undefined) return undefined;
    const [read, ...more] = readCouplets(rows);
    if (read === undefined || more.length > 0) return undefined;
    const wanted = (n === 0 ? id : undefined) ?? (slug(key.title, 50) || 'printed-key');
    let own = wanted;
    for (let k = 2; used.has(own); k++) own = `${wanted}-${k}`;
    used.add(own);
    drafts.push(
      draftOf(read, { title: key.title, id: own }, undefined, {
        version: /^Version (\S+?)[.,](?:\s|$)/.exec(key.imprint)?.[1],
        licence: /\bLicence: (\S+?)\.?$/.exec(key.imprint)?.[1],
        terms: document.terms,
      }),
    );
  }
  if (drafts.length === 0) return undefined;
  nameAsWanted(drafts, options);
  return finished(text, drafts, [], undefined, options);
}

function rowsOf(leads: readonly OwnLead[]): ReadRow[] | undefined {
  const named = couplets(leads);
  if (named === undefined) return undefined;
  const ids = new Set(named.map((n) => n.couplet));
  return leads.map((lead, i): ReadRow => {
    const { couplet, mark } = named[i] as Named;
    const next = leads[i + 1];
    const below = next !== undefined && next.level > lead.level ? named[i + 1]?.couplet : undefined;
    const end: ImportedEnd | undefined =
      lead.end !== undefined
        ? ownEnd(lead.end, ids)
        : below === undefined
          ? undefined
          : { ...NOTHING, pointer: below };
    return {
      row: { cells: [], line: lead.line, lastLine: lead.line },
      label: { printed: lead.label, couplet, mark, back: [], letters: false },
      words: plainCell(lead.words),
      ends: end === undefined && lead.end !== undefined ? [plainCell(lead.end)] : [],
      ...(end === undefined ? {} : { end }),
      ...(lead.note === undefined ? {} : { note: lead.note }),
    };
  });
}

interface Named {
  readonly couplet: string;
  readonly mark: number;
}

/** `12b` is the second lead of couplet 12: letters follow each other at one level. */
function couplets(leads: readonly OwnLead[]): Named[] | undefined {
  const open: { couplet: string; level: number; count: number }[] = [];
  const named: Named[] = [];
  for (const { label, level } of leads) {
    while ((open.at(-1)?.level ?? -1) > level) open.pop();
    const top = open.at(-1);
    if (top !== undefined && top.level === level && label === `${top.couplet}${letter(top.count)}`) {
      named.push({ couplet: top.couplet, mark: top.count++ });
      continue;
    }
    if (!/.a$/.test(label)) return undefined;
    if (top?.level === level) open.pop();
    const couplet = label.slice(0, -1);
    open.push({ couplet, level, count: 1 });
    named.push({ couplet, mark: 0 });
  }
  return named;
}
