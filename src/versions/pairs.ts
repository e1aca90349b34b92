import type { CompiledCouplet, CompiledKey, CompiledLead } from '../engine/compile.js';
import type { Taxon } from '../key/key.js';
import type { MatchedTaxa } from './taxa.js';

/** A couplet of the old key and the one that it has become. */
export interface CoupletPair {
  readonly old: CompiledCouplet;
  readonly now: CompiledCouplet;
  /** By lead of the old couplet: the number of the lead that it has become; -1 when it is gone. */
  readonly leads: readonly number[];
}

/** Past this many couplets, those whose leads say something else are not told by what lies behind them. */
const MOST_COMPARED = 2000;

/**
 * Which couplet of the old key is which of the new one: the one with the same ways to it and beyond it first, then one
 * of the same words, then one that shares a lead, then one whose leads lead to the same taxa, then one of the same
 * number.
 */
export function pairCouplets(old: CompiledKey, now: CompiledKey, same: MatchedTaxa): readonly CoupletPair[] {
  const left = { old: new Set(reachable(old)), now: new Set(reachable(now)) };
  const pairs: CoupletPair[] = [];
  const pair = (a: CompiledCouplet, b: CompiledCouplet): void => {
    left.old.delete(a);
    left.now.delete(b);
    pairs.push({ old: a, now: b, leads: pairLeads(a, b) });
  };
  const by = (marksOf: (couplet: CompiledCouplet, key: CompiledKey) => readonly string[]): void => {
    const waiting = new Map<string, CompiledCouplet[]>();
    for (const couplet of left.now)
      for (const mark of marksOf(couplet, now)) {
        const own = waiting.get(mark);
        if (own === undefined) waiting.set(mark, [couplet]);
        else own.push(couplet);
      }
    for (const couplet of [...left.old])
      for (const mark of marksOf(couplet, old)) {
        const other = waiting.get(mark)?.find((c) => left.now.has(c));
        if (other === undefined) continue;
        pair(couplet, other);
        break;
      }
  };
  const shapes = new Map([old, now].map((key) => [key, new Shapes()]));
  const numbers = new Map<string, number>();
  for (const [key, shape] of shapes) shape.read(key, same, numbers);
  by((c, key) => [shapes.get(key)?.whole(c) ?? '']);
  by((c, key) => [`${c.name} ${shapes.get(key)?.below(c)}`]);
  by((c, key) => [`${shapes.get(key)?.below(c)}`]);
  by((c) => [asked(c)]);
  by((c) => [`${c.name}\n${words(c)}`]);
  by((c) => [words(c)]);
  by((c) => c.leads.map((l) => said(l.lead.text)));
  if (left.old.size + left.now.size <= MOST_COMPARED) {
    const beyond = new Map([old, now].map((key) => [key, taxaBeyond(key, same)]));
    by((c, key) => [beyond.get(key)?.(c) ?? c.name]);
  }
  by((c) => [`${c.name} ${c.leads.length}`]);
  return pairs;
}

/** The couplets that the start leads to. */
export function reachable(key: CompiledKey): CompiledCouplet[] {
  const seen = new Set([key.start]);
  return key.couplets.filter((couplet) => {
    if (!seen.has(couplet.index)) return false;
    for (const { next } of couplet.leads) if (next >= 0) seen.add(next);
    return true;
  });
}

/** What a couplet is like apart from its number: what leads to it, and what lies beyond it. */
class Shapes {
  readonly #below: number[] = [];
  readonly #above: number[] = [];

  /** `numbers` are those of marks, the same for all keys that are compared. */
  read(key: CompiledKey, same: MatchedTaxa, numbers: Map<string, number>): void {
    const number = (mark: string): number => {
      const known = numbers.get(mark) ?? numbers.size;
      numbers.set(mark, known);
      return known;
    };
    for (const couplet of [...key.couplets].reverse()) {
      const leads = couplet.leads.map((lead) => {
        const taxa = lead.taxa.map((t) => same.numberOf(key.taxa[t] as Taxon)).sort((a, b) => a - b);
        return JSON.stringify([askedIn(lead), lead.next < 0 ? taxa : `to ${this.#below[lead.next]}`]);
      });
      this.#below[couplet.index] = number(leads.sort().join('\n'));
    }
    const into = new Map<number, string[]>();
    for (const couplet of key.couplets) {
      const from = (into.get(couplet.index) ?? []).sort().join('\n');
      const above = number(couplet.index === key.start ? 'start' : `from ${from}`);
      this.#above[couplet.index] = above;
      for (const lead of couplet.leads)
        if (lead.next >= 0)
          into.set(lead.next, [...(into.get(lead.next) ?? []), JSON.stringify([above, askedIn(lead)])]);
    }
  }

  below(couplet: CompiledCouplet): number {
    return this.#below[couplet.index] ?? -1;
  }

  whole(couplet: CompiledCouplet): string {
    return `${this.#above[couplet.index]} ${this.below(couplet)}`;
  }
}

function askedIn({ lead }: CompiledLead): string {
  return JSON.stringify([said(lead.text), lead.otherwise, lead.when ?? null]);
}

function asked(couplet: CompiledCouplet): string {
  return couplet.leads.map(askedIn).sort().join('\n');
}

function words(couplet: CompiledCouplet): string {
  return couplet.leads
    .map((l) => said(l.lead.text))
    .sort()
    .join('\n');
}

/** The words of a lead without differences that do not matter to a reader. */
export function said(text: string): string {
  return text
    .toLowerCase()
    .replace(/[^\p{L}\p{N}<>=≤≥.,%-]+/gu, ' ')
    .replace(/[.,](?=\s|$)/g, '')
    .trim();
}

/** A mark of a couplet by the taxa that lie behind each of its leads. */
function taxaBeyond(key: CompiledKey, same: MatchedTaxa): (couplet: CompiledCouplet) => string {
  const sets: (readonly number[])[] = [];
  const marks: string[] = [];
  for (const couplet of [...key.couplets].reverse()) {
    const all = new Set<number>();
    const each = couplet.leads.map((lead) => {
      const own =
        lead.next >= 0
          ? (sets[lead.next] ?? [])
          : lead.taxa.map((t) => same.numberOf(key.taxa[t] as Taxon)).sort((a, b) => a - b);
      for (const n of own) all.add(n);
      return own.join(' ');
    });
    sets[couplet.index] = [...all].sort((a, b) => a - b);
    marks[couplet.index] = each.sort().join('\n');
  }
  return (couplet) => marks[couplet.index] ?? '';
}

function pairLeads(a: CompiledCouplet, b: CompiledCouplet): number[] {
  const free = new Set(b.leads.keys());
  const take = (wanted: (index: number) => boolean): number => {
    const found = [...free].find(wanted) ?? -1;
    free.delete(found);
    return found;
  };
  const found = a.leads.map((l) => take((i) => said(b.leads[i]?.lead.text ?? '') === said(l.lead.text)));
  const sameNumber = a.leads.length === b.leads.length;
  return found.map((i, l) => (i >= 0 || !sameNumber ? i : take((n) => n === l)));
}
