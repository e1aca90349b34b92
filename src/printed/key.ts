import type { Chain } from '../key/chain.js';
import { type Couplet, type Key, type Lead, leadLabel, type Source, type Taxon } from '../key/key.js';
import { readingOrder } from '../key/reading-order.js';
import type { Figure } from '../traits/character.js';
import { NameFinder, type Span } from './names.js';

/** How a key is to be printed. */
interface PrintOptions {
  /** Renumber the couplets in reading order, whatever numbers the file gives them. */
  readonly renumber?: boolean;
  /** Print the keys that it continues in after it. */
  readonly chain?: boolean;
}

/** What a printed lead leads to. */
export type PrintedEnd =
  | { readonly kind: 'couplet'; readonly id: string; readonly number: string }
  | { readonly kind: 'taxa'; readonly taxa: readonly Taxon[] }
  | PrintedKeyEnd
  /** The lead names something that is not there. */
  | { readonly kind: 'missing'; readonly what: string };

/** A lead that continues in another key. */
interface PrintedKeyEnd {
  readonly kind: 'key';
  readonly keyId: string;
  readonly title: string;
  /** The number of the couplet to continue at, where that is not the start. */
  readonly at: string | undefined;
  /** What everything beyond the lead belongs to. */
  readonly group: Taxon | undefined;
  /** Whether that key is printed with this one. */
  readonly printed: boolean;
}

export interface PrintedLead {
  /** `5a`, with the number that is printed. */
  readonly label: string;
  readonly words: readonly Span[];
  readonly note: readonly Span[] | undefined;
  /** The captions of its figures, with their files. */
  readonly figures: readonly (readonly Span[])[];
  readonly end: PrintedEnd;
  /** The lead of the key. */
  readonly lead: Lead;
}

export interface PrintedCouplet {
  /** As in the file. */
  readonly id: string;
  /** As printed. */
  readonly number: string;
  /** The labels of all leads that lead here, in order; those of other keys with the id of the key before them. */
  readonly from: readonly string[];
  readonly leads: readonly PrintedLead[];
}

/** One key, ready to be set. */
export interface PrintedKey {
  readonly key: Key;
  /** In the order of printing; each couplet once. */
  readonly couplets: readonly PrintedCouplet[];
  readonly byId: ReadonlyMap<string, PrintedCouplet>;
  readonly start: PrintedCouplet | undefined;
  readonly names: NameFinder;
}

/** Where a taxon keys out. */
export interface PrintedTaxon {
  readonly taxon: Taxon;
  /** Leads, with the id of their key before them where several keys are printed. */
  readonly at: readonly string[];
}

/** A key and those printed after it, with what stands once at the end. */
export interface Printed {
  readonly keys: readonly PrintedKey[];
  /** The taxa at ends, by name. */
  readonly taxa: readonly PrintedTaxon[];
  readonly glossary: readonly (readonly [term: string, meaning: string])[];
  readonly sources: readonly Source[];
  /** Whether any harm, or that none is recorded, is said of a taxon; if not, one sentence says so of all. */
  readonly harmStated: boolean;
  /** The taxa of all keys of the chain, by id. */
  readonly known: ReadonlyMap<string, Taxon>;
  readonly names: NameFinder;
}

/** A figure where it cannot be seen itself: `Fig.: Ring seen from below (figures/ring.png)`. */
export function figureText({ file, caption, by }: Figure): string {
  return `Fig.: ${caption} (${file}${by === undefined ? '' : `, by ${by}`})`;
}

/** Makes a key ready to be printed: numbers, back-references to every parent, what each lead leads to. */
export function toPrinted(chain: Chain, options: PrintOptions = {}): Printed {
  const keys = options.chain === true ? chain.keys : [chain.main];
  const numbers = new Map(chain.keys.map((key) => [key, numbersOf(key, options.renumber === true)]));
  const names = new NameFinder(chain.taxa.values());
  const printer = new Printer(chain, keys, numbers, names);
  const done = keys.map((key) => printer.key(key));
  const taxa = taxaAt(done);
  return {
    keys: done,
    taxa,
    glossary: glossaryOf(keys),
    sources: sourcesOf(keys),
    harmStated: taxa.some(({ taxon }) => taxon.concernStated && taxon.concern.level !== 'unknown'),
    known: chain.taxa,
    names,
  };
}

/** By id, the number that each couplet is printed with; in the order of printing. */
type CoupletNumbers = ReadonlyMap<string, string>;

function numbersOf(key: Key, renumber: boolean): CoupletNumbers {
  const ids = [...key.couplets.keys()];
  if (!renumber) return new Map(ids.map((id) => [id, id]));
  const index = new Map(ids.map((id, i) => [id, i]));
  const next = [...key.couplets.values()].map((c) =>
    c.leads.flatMap(({ end }) => (end.kind === 'couplet' ? (index.get(end.couplet) ?? []) : [])),
  );
  const order = readingOrder(next, index.get(key.start) ?? 0);
  const reached = new Set(order);
  // What nothing leads to is printed all the same, at the end.
  const all = [...order, ...ids.keys()].filter((n, i) => i < order.length || !reached.has(n));
  const lowest = ids.every((id) => /^\d+$/.test(id))
    ? ids.reduce((low, id) => Math.min(low, +id), Infinity)
    : 1;
  return new Map(all.map((n, i) => [ids[n] as string, String(lowest + i)]));
}

/**
 * By id, the number that each couplet of a key gets in reading order; undefined when the file has just these numbers in
 * this order.
 */
export function newNumbers(key: Key): ReadonlyMap<string, string> | undefined {
  const numbers = numbersOf(key, true);
  const inOrder = [...numbers].every(([id, number]) => id === number);
  const order = [...numbers.keys()];
  const asInFile = [...key.couplets.keys()].every((id, i) => id === order[i]);
  return inOrder && asInFile ? undefined : numbers;
}

class Printer {
  /** By key, the labels that lead to each couplet. */
  readonly #from = new Map<Key, Map<string, string[]>>();

  constructor(
    readonly chain: Chain,
    readonly keys: readonly Key[],
    readonly numbers: ReadonlyMap<Key, CoupletNumbers>,
    readonly names: NameFinder,
  ) {
    const targets = new Map(
      chain.nodes.flatMap((n) => n.couplet.leads.map((lead, i) => [lead, n.next[i] ?? -1])),
    );
    for (const key of keys) {
      for (const couplet of this.#inOrder(key)) {
        for (const lead of couplet.leads) {
          const target = chain.nodes[targets.get(lead) ?? -1];
          if (target === undefined || !keys.includes(target.key)) continue;
          const label = this.#label(key, couplet, lead);
          const whole = target.key === key ? label : `${key.id} ${label}`;
          const known = this.#fromOf(target.key);
          const labels = known.get(target.couplet.id);
          if (labels === undefined) known.set(target.couplet.id, [whole]);
          else labels.push(whole);
        }
      }
    }
    this.#targets = targets;
  }

  readonly #targets: ReadonlyMap<Lead, number>;

  key(key: Key): PrintedKey {
    const couplets = this.#inOrder(key).map((couplet): PrintedCouplet => {
      const from = this.#fromOf(key).get(couplet.id) ?? [];
      const number = this.#number(key, couplet.id);
      const leads = couplet.leads.map(
        (lead): PrintedLead => ({
          label: leadLabel(number, lead.letter),
          words: this.names.spans(lead.text),
          note: lead.note === undefined ? undefined : this.names.spans(lead.note),
          figures: lead.figures.map((figure) => this.names.spans(figureText(figure))),
          end: this.#end(key, lead),
          lead,
        }),
      );
      return { id: couplet.id, number, from, leads };
    });
    const byId = new Map(couplets.map((c) => [c.id, c]));
    return { key, couplets, byId, start: byId.get(key.start), names: this.names };
  }

  #inOrder(key: Key): Couplet[] {
    return [...(this.numbers.get(key)?.keys() ?? [])].flatMap((id) => key.couplets.get(id) ?? []);
  }

  #fromOf(key: Key): Map<string, string[]> {
    const known = this.#from.get(key);
    if (known !== undefined) return known;
    const made = new Map<string, string[]>();
    this.#from.set(key, made);
    return made;
  }

  #number(key: Key, couplet: string): string {
    return this.numbers.get(key)?.get(couplet) ?? couplet;
  }

  #label(key: Key, couplet: Couplet, lead: Lead): string {
    return leadLabel(this.#number(key, couplet.id), lead.letter);
  }

  #end(key: Key, lead: Lead): PrintedEnd {
    const { end } = lead;
    if (end.kind === 'couplet') {
      return key.couplets.has(end.couplet)
        ? { kind: 'couplet', id: end.couplet, number: this.#number(key, end.couplet) }
        : { kind: 'missing', what: `couplet ${end.couplet}` };
    }
    if (end.kind === 'taxa') {
      const taxa = end.taxa.flatMap((id) => this.chain.taxa.get(id) ?? []);
      if (taxa.length === end.taxa.length) return { kind: 'taxa', taxa };
      const lost = end.taxa.filter((id) => !this.chain.taxa.has(id));
      return { kind: 'missing', what: `taxon ${lost.join(', ')}` };
    }
    const other = this.chain.nodes[this.#targets.get(lead) ?? -1];
    if (other === undefined) return { kind: 'missing', what: `key ${end.key}` };
    return {
      kind: 'key',
      keyId: other.key.id,
      title: other.key.title,
      at: end.at === undefined ? undefined : this.#number(other.key, other.couplet.id),
      group: lead.reaches === undefined ? undefined : this.chain.taxa.get(lead.reaches),
      printed: this.keys.includes(other.key),
    };
  }
}

function taxaAt(keys: readonly PrintedKey[]): PrintedTaxon[] {
  const found = new Map<Taxon, string[]>();
  for (const { key, couplets } of keys) {
    for (const { leads } of couplets) {
      for (const { label, end } of leads) {
        if (end.kind !== 'taxa') continue;
        const whole = keys.length > 1 ? `${key.id} ${label}` : label;
        for (const taxon of end.taxa) {
          const at = found.get(taxon);
          if (at === undefined) found.set(taxon, [whole]);
          else at.push(whole);
        }
      }
    }
  }
  const order = new Intl.Collator('en').compare;
  return [...found]
    .map(([taxon, at]) => ({ taxon, at }))
    .sort((a, b) => order(a.taxon.name, b.taxon.name) || order(a.taxon.id, b.taxon.id));
}

function glossaryOf(keys: readonly Key[]): [string, string][] {
  // Keys of a chain often share their terms; one that two keys explain differently stands twice.
  const seen = new Set<string>();
  const entries: [string, string][] = [];
  for (const key of keys) {
    for (const [term, meaning] of key.glossary) {
      const mark = `${term}\0${meaning}`;
      if (seen.has(mark)) continue;
      seen.add(mark);
      entries.push([term, meaning]);
    }
  }
  const order = new Intl.Collator('en').compare;
  return entries.sort(([a], [b]) => order(a, b));
}

function sourcesOf(keys: readonly Key[]): Source[] {
  const seen = new Set<string>();
  return keys
    .flatMap((k) => k.sources)
    .filter(({ cite, pages, url, note }) => {
      const mark = [cite, pages, url, note].join('\0');
      return !seen.has(mark) && seen.add(mark);
    });
}
