/** Brings a key up to date with its table, and changes as little of it as it can. */
import { Failure } from '../../../diagnostic/failure.js';
import { type Finding, hasErrors } from '../../../diagnostic/finding.js';
import { type CompiledLead, compile } from '../../../engine/compile.js';
import { Logic } from '../../../engine/logic.js';
import { pruneCouplets, startEntry } from '../../../engine/pruned-text.js';
import { type PrunedTarget, type PruningPlan, planPruning } from '../../../engine/pruning.js';
import { type Chain, loadChain } from '../../../key/chain.js';
import { Reporter } from '../../../key/fields.js';
import type { Key, Taxon } from '../../../key/key.js';
import { KeyText } from '../../../key/keytext.js';
import type { Shelf } from '../../../key/load.js';
import { readTaxa } from '../../../key/taxa.js';
import { contrastsOf } from '../../../lint/contrasts.js';
import { quoted } from '../../../text/harmless.js';
import { count, listed } from '../../../text/words.js';
import { charactersIn } from '../../../traits/condition.js';
import { type Facts, gatherFacts } from '../facts.js';
import type { GrowOptions } from '../grow.js';
import type { TaxaTable } from '../table.js';
import { type Alignment, align } from './align.js';
import { writeCharacters, writeTaxa } from './describe.js';
import { newEnds } from './ends.js';
import { fillGaps } from './gaps.js';
import { canPart, partEnds, type SharedEnd } from './part.js';
import { draftedWords } from './places.js';
import { tidied } from './tidy.js';

/** How a key is revised. */
export interface ReviseOptions extends GrowOptions {
  readonly shelf: Shelf;
}

/** A revised key, or what is wrong with the table. */
export interface Revised {
  /** undefined where the table has errors. */
  readonly text: string | undefined;
  readonly chain: Chain | undefined;
  readonly findings: readonly Finding[];
  /** What was done, in sentences. */
  readonly done: readonly string[];
  /** What could not be kept or done, and why: a person has to look. */
  readonly look: readonly string[];
  /** The new couplets. */
  readonly couplets: readonly string[];
}

/** At least this share of the taxa of a key must be in a table that is taken for its own. */
const LEAST_SHARED = 0.5;
/** Adding states goes down a key couplet by couplet; no key is deeper. */
const MOST_ROUNDS = 200;

/**
 * Revises a key by a changed table. Everything is written as edits of the text, which is loaded again after each step. Throws a
 * Failure where table and key do not belong together.
 */
export function reviseKey(text: string, before: Chain, table: TaxaTable, options: ReviseOptions): Revised {
  return new Revision(text, before, table, options).revise();
}

class Revision {
  #text: string;
  #chain: Chain;
  readonly #done: string[] = [];
  readonly #look: string[] = [];
  readonly #aligned: Alignment;

  constructor(
    text: string,
    readonly before: Chain,
    readonly table: TaxaTable,
    readonly options: ReviseOptions,
  ) {
    this.#text = text;
    this.#chain = before;
    this.#aligned = align(before.main, table);
    const described = [...before.main.taxa.values()].filter((t) => t.traits.size > 0).length;
    const shared = described - this.#aligned.goneTaxa.length;
    if (shared < LEAST_SHARED * described)
      throw new Failure(
        `${table.file} has only ${shared} of the ${count(described, 'taxon', 'taxa')} that ${before.main.file} describes`,
        { hint: 'is it the table of this key?' },
      );
  }

  revise(): Revised {
    const aligned = this.#aligned;
    this.#edit((text) => writeCharacters(text, this.before.main, aligned));
    const report = this.#reporter();
    const taxa = readTaxa(aligned.data.taxa, this.#main.characters, report);
    const facts = gatherFacts([...this.#main.characters.values()], taxa, report);
    if (hasErrors(report.findings))
      return {
        text: undefined,
        chain: undefined,
        findings: report.findings,
        done: [],
        look: [],
        couplets: [],
      };
    let described = new Set<string>();
    this.#edit((text) => {
      described = writeTaxa(text, { key: this.#main, aligned, facts, taxa });
    });
    this.#tellDescribed(described);
    const first = new Logic(this.before);
    const states = aligned.newStates.length > 0;
    const now = this.#filled(first, states ? first : undefined);
    const gone = new Set(aligned.goneTaxa.map((t) => t.id));
    const ends = newEnds(first, now, (id) => states || described.has(id), gone);
    const key = compile(this.#chain);
    const same = new Map(now.key.couplets.flatMap((c) => c.leads.map((l) => [l.label, l] as const)));
    const plan = planPruning(key, (lead) => ends.endsAt(same.get(lead.label) ?? lead));
    if (plan.start?.kind !== 'couplet')
      throw new Failure(`nothing is left to choose between in ${this.#main.file}`, {
        hint: 'a key separates two taxa or more',
      });
    this.#tellPruned(plan);
    const origin = originsOf(plan, this.before.main);
    this.#edit((text) => {
      pruneCouplets(text, this.#main, plan);
      text.addPairs([], ['scope', 'sources', 'authors'], startEntry(text, this.#main, plan));
      removeTaxa(text, this.#main, gone);
    });
    this.#tellEnds(ends);
    const shrunk = plan.collapsed.length > 0 || [...plan.couplets.values()].some((c) => c.gone.length > 0);
    const logic = this.#filled(now, shrunk ? now : undefined);
    const couplets = this.#part(logic, origin, described, first);
    this.#text = tidied(this.#text, this.before.main, this.#load(this.#text).main);
    this.#chain = this.#load(this.#text);
    this.#tellColumns();
    this.#checkEnds(taxa, facts);
    return {
      text: this.#text,
      chain: this.#chain,
      findings: report.findings,
      done: this.#done,
      look: this.#look,
      couplets,
    };
  }

  get #main(): Key {
    return this.#chain.main;
  }

  #edit(change: (text: KeyText) => void): void {
    const text = new KeyText(this.#text);
    change(text);
    const now = text.finish();
    if (now === this.#text) return;
    this.#chain = this.#load(now);
    this.#text = now;
  }

  #load(text: string): Chain {
    const { file } = this.before.main;
    const { chain, findings } = loadChain(text, file, this.options.shelf);
    const error = findings.find((f) => f.level === 'error');
    if (chain !== undefined && error === undefined) return chain;
    const why = error === undefined ? '' : ` (line ${error.place.start.line} would say: ${error.message})`;
    throw new Failure(`${file} is written in a way that cannot be revised without a person's help${why}`, {
      hint: 'write out what is shared by YAML aliases, and each lead and taxon on lines of its own',
    });
  }

  /** Findings about what the table says of taxa stand at its own places. */
  #reporter(): Reporter {
    const { yaml } = this.table.key;
    const back = (pairs: ReadonlyMap<string, string>) => new Map([...pairs].map(([now, was]) => [was, now]));
    const [taxa, characters] = [back(this.#aligned.taxa), back(this.#aligned.characters)];
    return new Reporter({
      ...yaml,
      place: (path, side) =>
        yaml.place(
          path.map((step, i) =>
            i === 1
              ? (taxa.get(String(step)) ?? step)
              : i === 3
                ? (characters.get(String(step)) ?? step)
                : step,
          ),
          side,
        ),
    });
  }

  /** Gives states that no lead takes to leads, from the top down, since what is taken above arrives below. */
  #filled(before: Logic, needed: Logic | undefined): Logic {
    let logic = new Logic(this.#chain);
    if (needed === undefined) return logic;
    const behind = new Map<string, Set<string>>();
    const open = new Set<string>();
    for (let round = 0; round < MOST_ROUNDS; round++) {
      let filled = 0;
      this.#edit((text) => {
        const done = fillGaps(text, before, logic);
        filled = done.count;
        for (const { label, states } of done.wordsBehind)
          behind.set(label, new Set([...(behind.get(label) ?? []), ...states]));
        for (const id of done.open) open.add(id);
      });
      if (filled === 0) break;
      logic = new Logic(this.#chain);
    }
    for (const [label, states] of behind)
      this.#look.push(
        `lead ${label} also takes ${listed([...states])} now; its words are your own and do not say so`,
      );
    // Where a couplet above is gone, finds arrive that do not have the character at all.
    const gaps = new Set(stranding(before));
    for (const id of stranding(logic)) if (!gaps.has(id)) open.add(id);
    for (const id of open)
      this.#look.push(`couplet ${id} has no lead that could be given all that can arrive there now; add one`);
    return logic;
  }

  #part(
    logic: Logic,
    origin: ReadonlyMap<string, readonly string[]>,
    described: ReadonlySet<string>,
    first: Logic,
  ): string[] {
    const { options } = this;
    const gone = new Set(this.#aligned.goneCharacters.map((c) => c.id));
    const facts = factsOf(this.#main, gone);
    const old = factsOf(this.before.main, new Set());
    const byLabel = new Map(
      first.key.couplets.flatMap((c) => c.leads.map((l) => [l.label, [c, l] as const])),
    );
    const ends: SharedEnd[] = [];
    for (const couplet of logic.key.couplets) {
      if (logic.key.chain.nodes[couplet.index]?.key !== this.#main) continue;
      for (const lead of couplet.leads) {
        if (lead.lead.end.kind !== 'taxa') continue;
        const before = origin.get(lead.label) ?? [];
        const ids = lead.taxa.map((t) => logic.key.taxa[t]?.id ?? '');
        const touched =
          ids.join() !== before.join() || (ids.length > 1 && ids.some((id) => described.has(id)));
        if (touched) ends.push({ couplet, lead, before });
      }
    }
    const meant = ({ lead, before }: SharedEnd): boolean => {
      if (lead.taxa.some((t) => !before.includes(logic.key.taxa[t]?.id ?? ''))) return false;
      const [c, l] =
        [...byLabel.values()].find(
          ([, o]) => o.lead.end.kind === 'taxa' && o.lead.end.taxa.join() === before.join(),
        ) ?? [];
      return c !== undefined && l !== undefined && canPart(first, c, l, old, before, options.mostLeads);
    };
    let parted: ReturnType<typeof partEnds> = [];
    this.#edit((text) => {
      parted = partEnds(text, ends, { logic, facts, options, was: this.before.main, meant });
    });
    for (const { label, couplets } of parted)
      this.#done.push(
        `what came together at ${label} is parted by ${couplets.length === 1 ? 'the new couplet' : 'the new couplets'} ${listed(couplets)}`,
      );
    return parted.flatMap((p) => p.couplets);
  }

  #tellDescribed(described: ReadonlySet<string>): void {
    const { said, newTaxa, goneTaxa, taxa, newCharacters, newStates } = this.#aligned;
    this.#done.push(...said);
    for (const t of newTaxa) if (described.has(taxa.get(t.id) ?? t.id)) this.#done.push(`new: ${t.name}`);
    for (const t of goneTaxa) this.#done.push(`no longer in the table, and taken out: ${t.name}`);
    const fresh = new Set(newTaxa.map((t) => taxa.get(t.id)));
    const changed = [...described]
      .filter((id) => !fresh.has(id))
      .map((id) => this.#main.taxa.get(id)?.name ?? id);
    if (changed.length > 0) this.#done.push(`described otherwise: ${listed(changed)}`);
    for (const c of newCharacters) this.#done.push(`new column: ${c.name}`);
    for (const s of newStates)
      this.#done.push(
        `new state of ${this.#main.characters.get(s.character)?.name ?? s.character}: ${s.meaning}`,
      );
  }

  #tellPruned(plan: PruningPlan): void {
    for (const { id, gone, left } of plan.collapsed) {
      const couplet = this.before.main.couplets.get(id);
      const words = couplet === undefined ? undefined : draftedWords(couplet, this.before.main);
      this.#done.push(`couplet ${id} is no longer asked, since nothing is left to choose there`);
      const own = couplet?.leads.filter((l, i) => words?.[i] !== l.text) ?? [];
      if (own.length > 0)
        this.#look.push(
          `with couplet ${id} go words of your own: ${listed(own.map((l) => quoted(l.text)))}${left === undefined && gone.length === 0 ? '; both its leads would end at the same' : ''}`,
        );
    }
    for (const couplet of plan.couplets.values())
      if (couplet.gone.length > 0)
        this.#done.push(`gone, since nothing is left beyond: ${listed(couplet.gone.map((l) => l.label))}`);
    if (plan.cut.length > 0)
      this.#done.push(`gone, since nothing leads there any longer: couplet ${listed(plan.cut)}`);
  }

  #tellEnds({ came, left, elsewhere, undecided }: ReturnType<typeof newEnds>): void {
    const name = (id: string) => this.#main.taxa.get(id)?.name ?? this.before.main.taxa.get(id)?.name ?? id;
    for (const [id, labels] of came) this.#done.push(`${name(id)} also comes to ${listed(labels)}`);
    for (const [id, labels] of left) this.#done.push(`${name(id)} no longer comes to ${listed(labels)}`);
    for (const { taxon, label, key } of elsewhere)
      this.#look.push(
        `${taxon} takes lead ${label} now, which goes on in the key ${key}: look whether it is there`,
      );
    for (const [taxon, labels] of undecided)
      this.#look.push(
        `whether ${taxon} takes ${listed(labels)} would cost too much to work out; look yourself`,
      );
  }

  #tellColumns(): void {
    for (const character of this.#aligned.goneCharacters) {
      const asked = [...this.#main.couplets.values()].filter((c) =>
        c.leads.some((l) => l.when !== undefined && charactersIn(l.when).includes(character.id)),
      );
      const what = `${quoted(character.name)} is no longer a column of the table`;
      if (asked.length === 0)
        this.#done.push(`${what}; no couplet asks it, and what the key says of it stays`);
      else
        this.#look.push(
          `${what}: ${asked.length === 1 ? 'couplet' : 'couplets'} ${listed(asked.map((c) => c.id))} ${asked.length === 1 ? 'asks' : 'ask'} it still, by what the key says of it`,
        );
    }
  }

  /** A taxon that the table describes and no lead ends at would be lost. */
  #checkEnds(taxa: ReadonlyMap<string, Taxon>, facts: Facts): void {
    const ends = new Set(
      [...this.#main.couplets.values()].flatMap((c) =>
        c.leads.flatMap((l) => (l.end.kind === 'taxa' ? l.end.taxa : [])),
      ),
    );
    for (const { id, name } of facts.taxa) {
      if (!taxa.has(id)) continue;
      let held = false;
      for (let up: string | undefined = id; up !== undefined && !held; up = this.#main.taxa.get(up)?.within)
        held = ends.has(up);
      if (!held) this.#look.push(`${name} fits no lead on any way to an end; extend a lead, or add one`);
    }
  }
}

/** The couplets of a key at which a find can arrive that fits none of their leads. */
function stranding(logic: Logic): string[] {
  const { nodes, main } = logic.key.chain;
  return logic.key.couplets.flatMap((c) => {
    const node = nodes[c.index];
    const own = node?.key === main && logic.depths[c.index] !== undefined;
    return own && contrastsOf(logic, c).gap !== undefined ? [node.couplet.id] : [];
  });
}

/** By lead as it is labelled after pruning, the taxa at which its way ended before. */
function originsOf(plan: PruningPlan, before: Key): ReadonlyMap<string, readonly string[]> {
  const out = new Map<string, readonly string[]>();
  const endOf = (lead: CompiledLead, target: PrunedTarget): readonly string[] => {
    const own = target.kind === 'taxa' ? target.of : lead.lead;
    const [couplet] = own.path.slice(1, 2);
    const old = before.couplets.get(String(couplet))?.leads.find((l) => l.label === own.label);
    return old?.end.kind === 'taxa' ? old.end.taxa : [];
  };
  for (const { id, couplet, leads } of plan.couplets.values()) {
    const letters = couplet.leads.map((l) => l.lead.letter);
    for (const [i, { lead, target }] of leads.entries())
      out.set(`${id}${letters[i] ?? ''}`, endOf(lead, target));
  }
  return out;
}

/** What a key itself describes, but for some characters, which are not asked. */
function factsOf(key: Key, without: ReadonlySet<string>): Facts {
  const described = new Map([...key.taxa].filter(([, t]) => t.traits.size > 0));
  const facts = gatherFacts([...key.characters.values()], described, new Reporter(key.yaml));
  return {
    ...facts,
    facets: facts.facets.map((f) => (without.has(f.character.id) ? { ...f, usable: false } : f)),
  };
}

function removeTaxa(text: KeyText, key: Key, gone: ReadonlySet<string>): void {
  const holders = new Set([...key.taxa.values()].flatMap((t) => (gone.has(t.id) ? [] : (t.within ?? []))));
  const removed = new Set([...gone].filter((id) => !holders.has(id) && key.scope.within !== id));
  text.removeFrom(['taxa'], removed);
  for (const taxon of key.taxa.values()) {
    if (removed.has(taxon.id)) continue;
    const alike = taxon.alike.flatMap((other, i) => (removed.has(other) ? [i] : []));
    if (alike.length > 0 && alike.length === taxon.alike.length)
      text.removeFrom(['taxa', taxon.id], new Set(['alike']));
    else text.removeFrom(['taxa', taxon.id, 'alike'], new Set(alike));
  }
}
