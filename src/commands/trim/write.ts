import type { Path } from '../../diagnostic/finding.js';
import type { CompiledKey } from '../../engine/compile.js';
import { type PrunedLeads, pruneCouplets, startEntry } from '../../engine/pruned-text.js';
import type { KeptLead, PruningPlan } from '../../engine/pruning.js';
import { lineage } from '../../engine/verdict.js';
import { valueAt } from '../../key/data-path.js';
import type { Key, Lead, Taxon } from '../../key/key.js';
import { KeyText } from '../../key/keytext.js';
import { flowMap } from '../../key/scalars.js';
import { isHarmful, severity } from '../../key/severity.js';
import { charactersIn } from '../../traits/condition.js';

/** What a trimmed key is called, and what it says of where it comes from. */
interface TrimHead {
  readonly id: string;
  readonly title: string;
  readonly date: string;
  /** A sentence for the note. */
  readonly note: string;
  /** Keep characters, terms and sources that nothing uses any longer. */
  readonly keepUnused: boolean;
}

/** What was taken out besides leads and couplets. */
export interface TakenOut extends PrunedLeads {
  readonly taxa: readonly Taxon[];
  readonly characters: readonly string[];
  readonly glossary: readonly string[];
  readonly sources: readonly string[];
}

/** Writes a trim plan into the text of the key: comments and layout of what stays are kept. */
export function writeTrimmed(
  text: string,
  key: CompiledKey,
  plan: PruningPlan,
  kept: ReadonlySet<number>,
  head: TrimHead,
): { readonly text: string; readonly out: TakenOut } {
  return new Writer(text, key, plan, kept, head).write();
}

class Writer {
  readonly #text: KeyText;
  readonly #main: Key;
  readonly #leads: readonly KeptLead[];
  readonly #pruned: PrunedLeads;

  constructor(
    text: string,
    readonly key: CompiledKey,
    readonly plan: PruningPlan,
    readonly kept: ReadonlySet<number>,
    readonly head: TrimHead,
  ) {
    this.#text = new KeyText(text);
    this.#main = key.chain.main;
    this.#pruned = pruneCouplets(this.#text, this.#main, plan);
    this.#leads = [...plan.couplets.values()].flatMap((c) => c.leads);
  }

  write(): { text: string; out: TakenOut } {
    const { writtenOut, openGone } = this.#pruned;
    const taxa = this.#taxa();
    const unused = this.head.keepUnused
      ? { characters: [], glossary: [], sources: [] }
      : this.#unused(new Set(taxa.map((t) => t.id)));
    this.#head();
    const out = { taxa, ...unused, writtenOut, openGone };
    return { text: this.#text.finish(), out };
  }

  /** Takes out taxa that the key no longer ends at or needs. */
  #taxa(): Taxon[] {
    const { key } = this;
    const all = this.#main.taxa;
    const endsOf = (leads: readonly { readonly taxa: readonly number[] }[]) =>
      new Set(leads.flatMap((l) => l.taxa.map((t) => key.taxa[t]?.id ?? '')));
    const foreign = key.couplets.filter((c) => key.chain.nodes[c.index]?.key !== this.#main);
    const before = endsOf(key.couplets.flatMap((c) => c.leads));
    const after = new Set([
      ...this.#leads.flatMap(({ target }) => (target.kind === 'taxa' ? target.taxa : [])),
      ...(this.#leads.some((l) => l.target.kind === 'key') ? endsOf(foreign.flatMap((c) => c.leads)) : []),
    ]);
    const needed = new Set<string>();
    const need = (id: string | undefined) => {
      const taxon = id === undefined ? undefined : all.get(id);
      if (taxon !== undefined) for (const t of lineage(taxon, all)) needed.add(t.id);
    };
    for (const id of after) need(id);
    for (const { target } of this.#leads) if (target.kind === 'key') need(target.of.reaches);
    for (const { lead } of this.#leads) need(lead.lead.reaches);
    need(this.#main.scope.within);
    // Kinds that a kept end stands for, without an end of their own, say what it holds.
    for (const taxon of all.values())
      if (!before.has(taxon.id) && lineage(taxon, all).some((t) => after.has(t.id))) need(taxon.id);
    // What was no end, nor held any, was listed for another reason and stays, as long as what it lies in does.
    const reached = [...this.#main.couplets.values()].flatMap((c) => c.leads.flatMap((l) => l.reaches ?? []));
    const holding = new Set([...before, ...reached].flatMap((id) => lineageIds(all.get(id), all)));
    const goes = (t: Taxon) => !needed.has(t.id) && holding.has(t.id);
    const gone = [...all.values()].filter((t) => !needed.has(t.id) && lineage(t, all).some(goes));
    const ids = new Set(gone.map((t) => t.id));
    this.#text.removeFrom(['taxa'], ids);
    for (const taxon of all.values()) {
      if (ids.has(taxon.id)) continue;
      const alike = taxon.alike.flatMap((other, i) => (ids.has(other) ? [i] : []));
      const path = ['taxa', taxon.id, 'alike'];
      if (alike.length === taxon.alike.length && alike.length > 0)
        this.#text.removeFrom(['taxa', taxon.id], new Set(['alike']));
      else this.#text.removeFrom(path, new Set(alike));
      if (after.has(taxon.id)) this.#concern(taxon, gone);
    }
    return gone;
  }

  /** An end that stands for several kinds keeps the harm of those that are removed. */
  #concern(group: Taxon, gone: readonly Taxon[]): void {
    const all = this.#main.taxa;
    const held = gone.filter((t) => lineage(t, all).includes(group));
    const worst = held.sort((a, b) => severity(a) - severity(b))[0];
    if (worst === undefined || !isHarmful(worst.concern.level) || severity(worst) >= severity(group)) return;
    const { level, effect, onset, source } = worst.concern;
    const kept = { effect: `holds ${worst.name}${effect === undefined ? '' : `: ${effect}`}`, onset, source };
    const value = flowMap([
      [this.#text.word('level'), this.#text.word(level)],
      ...Object.entries(kept).flatMap(([name, said]): [string, string][] =>
        said === undefined ? [] : [[this.#text.word(name), JSON.stringify(said)]],
      ),
    ]);
    const path = ['taxa', group.id, 'concern'];
    if (this.#text.has(path)) this.#text.replacePair(path, [['concern', value]]);
    else this.#text.addPairs(['taxa', group.id], ['within', 'rank', 'name'], [['concern', value]]);
  }

  /** Takes out what only the removed parts used. */
  #unused(goneTaxa: ReadonlySet<string>): Pick<TakenOut, 'characters' | 'glossary' | 'sources'> {
    const main = this.#main;
    const leads = [...main.couplets.values()].flatMap((c) => c.leads);
    const staying = this.#leads.map((l) => l.lead.lead);
    const taxa = [...main.taxa.values()];
    const left = taxa.filter((t) => !goneTaxa.has(t.id));
    const chained = new Set(
      this.#leads.some((l) => l.target.kind === 'key')
        ? this.key.chain.keys.filter((k) => k !== main).flatMap((k) => [...k.characters.keys()])
        : [],
    );
    const asked = (some: readonly Lead[], described: readonly Taxon[]) =>
      this.#withGates([
        ...some.flatMap((l) => [l.when, l.usually].flatMap((c) => (c === undefined ? [] : charactersIn(c)))),
        ...this.#leads.flatMap(({ lead }) =>
          some === leads || !this.#isWritten(lead.label) ? [] : this.#refusedBy(lead.label),
        ),
        ...described.flatMap((t) => [...t.traits.keys()]),
      ]);
    const own = this.#own('characters');
    const usedBefore = asked(leads, taxa);
    const usedAfter = asked(staying, left);
    // What is seen of one that depends on a character that is asked says that this one is there.
    const tells = (id: string) => [...this.#withGates([id])].some((on) => usedAfter.has(on));
    const idle = (id: string) => usedBefore.has(id) && !tells(id) && !chained.has(id);
    // One on which another that stays depends is kept too, though nothing asks it.
    const needed = this.#withGates([...main.characters.keys()].filter((id) => !idle(id)));
    const characters = own.filter((id) => !needed.has(id));
    this.#text.removeFrom(['characters'], new Set(characters));
    const gone = new Set(characters);
    const words = (some: readonly Lead[], described: readonly Taxon[], all: boolean) =>
      [
        ...some.flatMap((l) => [l.text, l.note ?? '']),
        ...described.flatMap((t) => [t.habitat ?? '', t.note ?? '', t.concern.effect ?? '']),
        ...[...main.characters.values()].flatMap((c) =>
          all || !gone.has(c.id)
            ? [c.name, c.look ?? '', ...c.states.map((s) => `${s.id} ${s.meaning}`)]
            : [],
        ),
        main.note ?? '',
        main.scope.note ?? '',
      ]
        .join('\n')
        .toLowerCase();
    const [textBefore, textAfter] = [words(leads, taxa, true), words(staying, left, false)];
    const meanings = [...main.glossary].map(([term, meaning]) => ({ term, meaning: meaning.toLowerCase() }));
    const glossary = this.#own('glossary').filter((term) => {
      const stem = stemOf(term);
      const elsewhere = meanings.some((m) => m.term !== term && m.meaning.includes(stem));
      return textBefore.includes(stem) && !textAfter.includes(stem) && !elsewhere;
    });
    this.#text.removeFrom(['glossary'], new Set(glossary));
    const cited = (some: readonly Lead[], described: readonly Taxon[]) =>
      new Set([
        ...some.flatMap((l) => this.#textsAt([...l.path, 'sources'])),
        ...described.flatMap((t) => [...t.sources, t.concern.source ?? '']),
      ]);
    const [citedBefore, citedAfter] = [cited(leads, taxa), cited(staying, left)];
    const sources = this.#own('sources').filter((id) => citedBefore.has(id) && !citedAfter.has(id));
    this.#text.removeFrom(['sources'], new Set(sources));
    return { characters, glossary, sources };
  }

  #isWritten(label: string): boolean {
    return this.#pruned.writtenOut.some((w) => w.lead === label);
  }

  /** The characters of the conditions that are written out in a lead. */
  #refusedBy(label: string): string[] {
    const couplet = [...this.plan.couplets.values()].find((c) =>
      c.couplet.leads.some((l) => l.label === label),
    );
    return (couplet?.couplet.leads ?? []).flatMap((l) =>
      l.lead.when === undefined ? [] : charactersIn(l.lead.when),
    );
  }

  #withGates(ids: readonly string[]): ReadonlySet<string> {
    const all = new Set<string>();
    const todo = [...ids];
    for (let id = todo.pop(); id !== undefined; id = todo.pop()) {
      if (all.has(id)) continue;
      all.add(id);
      const gate = this.#main.characters.get(id)?.appliesWhen;
      if (gate !== undefined) todo.push(...charactersIn(gate));
    }
    return all;
  }

  /** The names that stand in the key itself under a heading, not in its terms. */
  #own(heading: 'characters' | 'glossary' | 'sources'): string[] {
    const data = (this.#main.yaml.data as Record<string, unknown>)[heading];
    return typeof data === 'object' && data !== null ? Object.keys(data) : [];
  }

  #textsAt(path: Path): readonly string[] {
    const data = valueAt(this.#main.yaml.data, path);
    return typeof data === 'string'
      ? [data]
      : Array.isArray(data)
        ? data.filter((d) => typeof d === 'string')
        : [];
  }

  #head(): void {
    const text = this.#text;
    const { id, title, date, note } = this.head;
    text.replaceValue(['id'], text.word(id));
    text.replaceValue(['title'], text.word(title));
    const added: [string, string][] = [];
    if (text.has(['date'])) text.replaceValue(['date'], text.word(date));
    else text.addPairs([], ['version'], [['date', text.word(date)]]);
    if (this.#main.scope.complete) text.replaceValue(['scope', 'complete'], 'false');
    if (text.has(['note'])) text.addSentence(['note'], note);
    else added.push(['note', JSON.stringify(note)]);
    added.push(...startEntry(text, this.#main, this.plan));
    text.addPairs([], ['scope', 'sources', 'authors', 'licence', 'language', 'version', 'title'], added);
  }
}

function lineageIds(taxon: Taxon | undefined, all: ReadonlyMap<string, Taxon>): string[] {
  return taxon === undefined ? [] : lineage(taxon, all).map((t) => t.id);
}

/** A term without its ending, so that it is found in the plural as well. */
function stemOf(term: string): string {
  const word = term.toLowerCase();
  return word.length > 5 ? word.slice(0, -2) : word;
}
