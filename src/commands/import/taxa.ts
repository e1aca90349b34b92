/** Collects the taxa at which the leads of a key end. */
import type { ConcernLevel } from '../../key/key.js';
import { Ids } from '../../text/slug.js';
import type { Linked, LinkedLead } from './linked.js';
import type { ReadName } from './names.js';
import type { ImportedEnd } from './targets.js';

/** A taxon of the key to be written. */
interface ImportedTaxon {
  readonly id: string;
  readonly name: string;
  rank?: string;
  authority?: string;
  readonly common: string[];
  within?: string;
  concern?: ConcernLevel;
  /** Printed as `in part`, or the like: it is keyed out again on purpose. */
  repeats: boolean;
  /** The line of the text in which it is first named. */
  readonly line: number;
}

/** The ranks that a key file knows. */
const RANKS: ReadonlySet<string> = new Set([
  'family',
  'subfamily',
  'tribe',
  'genus',
  'subgenus',
  'section',
  'series',
  'species',
  'aggregate',
  'subspecies',
  'variety',
  'form',
  'group',
]);

/** The taxa of one key, and which lead ends at which. */
export class Taxa {
  readonly all: ImportedTaxon[] = [];
  readonly #byName = new Map<string, ImportedTaxon>();
  readonly #ids = new Ids('taxon');
  /** Most names have the form of scientific ones, so the others may be scientific as well. */
  #latin = false;

  /** Numbers after names count the taxa of the book (`VINCULA, 2`) and are not pages. */
  numbered = false;

  /** Adds the taxa of all leads, in the order of the text. */
  addAll(linked: readonly Linked[]): void {
    let latin = 0;
    let all = 0;
    for (const { couplets } of linked) {
      for (const couplet of couplets) {
        for (const lead of couplet.leads) {
          for (const { names } of endsOf(lead)) {
            all += names.length;
            for (const name of names) latin += latinWeight(name);
          }
        }
      }
    }
    this.#latin = latin * 2 >= all;
    this.numbered = countsUp(
      linked.flatMap(({ couplets }) =>
        couplets.flatMap((c) => c.leads.flatMap((l) => endsOf(l).flatMap((e) => e.after ?? []))),
      ),
    );
    for (const { couplets } of linked)
      for (const couplet of couplets)
        for (const lead of couplet.leads) for (const end of endsOf(lead)) this.#addEnd(end, lead);
  }

  /** The ids of the taxa at an end. */
  idsOf(end: ImportedEnd): string[] {
    return [...new Set(end.names.flatMap((n) => this.#byName.get(nameOf(n))?.id ?? []))];
  }

  #addEnd(end: ImportedEnd, lead: LinkedLead): void {
    const within = end.within === undefined ? undefined : this.#add(end.within, lead.item.line.number);
    if (end.reaches !== undefined) this.#add(end.reaches, lead.item.line.number);
    for (const name of end.names) {
      const taxon = this.#add(name, lead.item.line.number);
      if (end.inPart) taxon.repeats = true;
      if (within !== undefined && within !== taxon) taxon.within ??= within.id;
    }
  }

  #add(read: ReadName, line: number): ImportedTaxon {
    const name = nameOf(read);
    let taxon = this.#byName.get(name);
    if (taxon === undefined) {
      taxon = { id: this.#ids.fresh(name), name, common: [], repeats: false, line };
      this.#byName.set(name, taxon);
      this.all.push(taxon);
    }
    const single = read.rank === 'genus' && !read.name.includes(' ');
    if (read.rank !== undefined && RANKS.has(read.rank) && ((read.form === 2 && !single) || this.#latin))
      taxon.rank ??= read.rank;
    if (read.authority !== undefined) taxon.authority ??= read.authority;
    if (read.concern !== undefined) taxon.concern ??= read.concern;
    for (const common of read.common?.split(/,\s+/) ?? [])
      if (!taxon.common.includes(common)) taxon.common.push(common);
    return taxon;
  }
}

/**
 * The name without the accents by which old books show the stress of a Latin word (`Cákile`, `Rùbus`): they are no part of
 * it, and a diaeresis is (Shenzhen Code, Art. 60.7; from memory). Vernacular names keep theirs.
 */
function nameOf({ name, rank, form }: ReadName): string {
  if (rank === undefined || form === 0 || !/[\u00c0-\u017f]|\u0300|\u0301/.test(name)) return name;
  return name
    .normalize('NFD')
    .replace(/(?<=[aeiouyæœ])[\u0300\u0301]/giu, '')
    .normalize('NFC');
}

/** Whether numbers are 1, 2, 3 and so on, in any order and nearly all present: page numbers have more gaps. */
function countsUp(numbers: readonly string[]): boolean {
  const all = new Set(numbers.map(Number));
  if (all.size < 3 || !all.has(1) || all.size < numbers.length * 0.8) return false;
  let most = 0;
  for (const n of all) most = Math.max(most, n);
  return most <= all.size + 2;
}

/** How strongly a name's form suggests a key with scientific names; two words say more than one. */
function latinWeight({ name, form, authority }: ReadName): number {
  if (authority !== undefined) return 1;
  return name.includes(' ') ? form / 2 : form === 2 ? 0.7 : form / 4;
}

/** The ends with names that a lead has. */
function endsOf({ target }: LinkedLead): ImportedEnd[] {
  if (target.kind === 'taxa') return [target.end];
  if (target.kind === 'couplet' && target.end !== undefined) return [target.end];
  return target.kind === 'key' || target.kind === 'nowhere' ? [target.end] : [];
}

/** What the print adds to a target, as the lead's note. */
export function noteOf(lead: LinkedLead, numbered: boolean): string | undefined {
  const [end] = endsOf(lead);
  const added = lead.item.notes ?? [];
  if (end === undefined) return added.length === 0 ? undefined : added.join('; ');
  const parts: string[] = [...added];
  const asCouplet = lead.target.kind === 'couplet';
  const page = end.page ?? (asCouplet || numbered ? undefined : end.after);
  if (numbered && end.after !== undefined) parts.push(`printed with the number ${end.after}`);
  if (page !== undefined) parts.push(`p. ${page}`);
  if (end.before !== undefined) parts.push(`printed with the number ${end.before}`);
  if (end.continues !== undefined) parts.push(`go on at ${end.continues} of its key`);
  if (end.outside) parts.push('printed in square brackets: outside the area');
  if (end.see !== undefined) parts.push(`printed "${end.see} ${end.names.map((n) => n.name).join(', ')}"`);
  if (end.inPart) parts.push('in part');
  for (const name of end.names) for (const remark of name.remarks) parts.push(`${name.name}: ${remark}`);
  parts.push(...end.remarks);
  if (asCouplet && end.names.length > 1) parts.push(`about ${end.names.map((n) => n.name).join(', ')}`);
  return parts.length === 0 ? undefined : parts.join('; ');
}
