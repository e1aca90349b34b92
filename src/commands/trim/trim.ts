import { keyedOut } from '../../analysis/members.js';
import { Failure } from '../../diagnostic/failure.js';
import type { Finding } from '../../diagnostic/finding.js';
import { type CompiledKey, compile } from '../../engine/compile.js';
import { type PruningPlan, planPruning } from '../../engine/pruning.js';
import { loadChain } from '../../key/chain.js';
import { edited } from '../../key/edits.js';
import { reachableFrom } from '../../key/graph.js';
import type { Key, Taxon } from '../../key/key.js';
import type { Shelf } from '../../key/load.js';
import { readingOrder } from '../../key/reading-order.js';
import { renumberFix } from '../../key/renumber.js';
import { severity } from '../../key/severity.js';
import { count } from '../../text/words.js';
import { type AstrayTaxon, comeNearer, goneAstray, type Nearer } from './astray.js';
import type { Checklist } from './checklist.js';
import { type Understood, understandList } from './listed.js';
import { harmfulLookAlikes, lookAlikes, type OffListLookAlike } from './lookalikes.js';
import { type TakenOut, writeTrimmed } from './write.js';

/** How a key is to be trimmed. */
export interface TrimOptions {
  /** What the list is called. */
  readonly list: string;
  readonly id: string;
  readonly title: string;
  /** The day of trimming. */
  readonly date: string;
  readonly keepNumbers: boolean;
  readonly dropHarmful: boolean;
  readonly keepUnused: boolean;
}

/** A chained key that the trimmed key continues in; it is not changed. */
interface GoesOnIn {
  readonly key: Key;
  /** How many taxa it ends at, and how many of them are kept. */
  readonly ends: number;
  readonly kept: number;
}

/** A trimmed key, and what the person should know about it. */
export interface Trimmed {
  readonly text: string;
  readonly before: CompiledKey;
  readonly after: CompiledKey;
  readonly list: Understood;
  readonly plan: PruningPlan;
  readonly out: TakenOut;
  /** The taxa that the key still ends at, and those that it no longer ends at. */
  readonly ends: readonly Taxon[];
  readonly gone: readonly Taxon[];
  /** Harmful look-alikes that stay though they are not on the list. */
  readonly stayed: readonly OffListLookAlike[];
  /** Look-alikes that were removed. */
  readonly toKnow: readonly OffListLookAlike[];
  readonly astray: readonly AstrayTaxon[];
  /** How many of the removed taxa fit nothing in the trimmed key. */
  readonly fitNothing: number;
  readonly nearer: readonly Nearer[];
  /** Old couplet numbers and the new ones; undefined when the numbers were kept. */
  readonly numbers: ReadonlyMap<string, string> | undefined;
  /** Why the couplets were not renumbered although they were to be. */
  readonly notNumbered: string | undefined;
  readonly goesOnIn: readonly GoesOnIn[];
}

/** The result of trimming: `undefined` when no name on the list is known to the key. */
interface TrimResult {
  readonly list: Understood;
  readonly trimmed: Trimmed | undefined;
}

/** Trims the main key of a chain to the taxa of a list. Throws a Failure when fewer than two ends would be left. */
export function trimKey(
  text: string,
  before: CompiledKey,
  list: Checklist,
  shelf: Shelf,
  options: TrimOptions,
): TrimResult {
  const understood = understandList(list, before);
  const wanted = numbersOf(before, (t) => understood.kept.has(t.id));
  if (understood.known.length === 0) return { list: understood, trimmed: undefined };
  const alike = lookAlikes(before, wanted);
  const extra = options.dropHarmful ? new Set<number>() : harmfulLookAlikes(before, alike);
  const kept = new Set([...wanted, ...extra]);
  const plan = planPruning(before, (lead) => lead.taxa.filter((t) => kept.has(t)));
  if (plan.start?.kind !== 'couplet') throw tooFew(before, plan, kept);
  const { main } = before.chain;
  const ends = endTaxa(before);
  const staying = endsLeft(before, plan);
  const gone = ends.filter((t) => !staying.has(t));
  const stated = `Trimmed on ${options.date} from ${main.id} ${main.version} to the list ${options.list} (${ends.length - gone.length} of ${count(ends.length, 'taxon', 'taxa')}); finds of other taxa may get a wrong name here.`;
  const written = writeTrimmed(text, before, plan, kept, { ...options, note: stated });
  let now = written.text;
  const first = opened(now, main.file, shelf);
  checkShape(first, plan);
  const numbered = options.keepNumbers ? { text: now } : renumbered(now, first.chain.main, main);
  now = numbered.text;
  const after = numbered.numbers === undefined ? first : opened(now, main.file, shelf);
  const { astray, fitNothing } = goneAstray(before, after, gone);
  const numbers = new Map(before.taxa.map((t, i) => [t, i]));
  const among = (set: ReadonlySet<number>) => (l: OffListLookAlike) => set.has(numbers.get(l.taxon) ?? -1);
  return {
    list: understood,
    trimmed: {
      text: now,
      before,
      after,
      list: understood,
      plan,
      out: written.out,
      ends: ends.filter((t) => staying.has(t)).map((t) => before.taxa[t] as Taxon),
      gone: gone.map((t) => before.taxa[t] as Taxon).sort((a, b) => severity(a) - severity(b)),
      stayed: alike.filter(among(extra)),
      toKnow: alike.filter(among(new Set(gone))),
      astray,
      fitNothing,
      nearer: comeNearer(before, after),
      numbers: numbered.numbers,
      notNumbered: numbered.why,
      goesOnIn: chainedKeys(after, kept, before),
    },
  };
}

function numbersOf(key: CompiledKey, wanted: (taxon: Taxon) => boolean): ReadonlySet<number> {
  return new Set([...key.taxa.keys()].filter((i) => wanted(key.taxa[i] as Taxon)));
}

/** The numbers of the taxa that a chain ends at. */
function endTaxa(key: CompiledKey): number[] {
  return [...new Set(key.couplets.flatMap((c) => c.leads.flatMap((l) => [...l.taxa])))].sort((a, b) => a - b);
}

/** The same for what a plan leaves: keys that it continues in end where they did. */
function endsLeft(key: CompiledKey, plan: PruningPlan): ReadonlySet<number> {
  const numbers = new Map(key.taxa.map((t, i) => [t.id, i]));
  const next = key.couplets.map((c) => c.leads.flatMap((l) => (l.next >= 0 ? [l.next] : [])));
  const leads = [...plan.couplets.values()].flatMap((c) => c.leads);
  const left = new Set(
    leads.flatMap(({ target }) =>
      target.kind === 'taxa' ? target.taxa.flatMap((t) => numbers.get(t) ?? []) : [],
    ),
  );
  const beyond = new Map(key.couplets.flatMap((c) => c.leads.map((l) => [l.lead, l.next])));
  const entered = new Set(
    leads.flatMap(({ target }) => (target.kind === 'key' ? (beyond.get(target.of) ?? []) : [])),
  );
  for (const from of entered)
    for (const couplet of reachableFrom(from, next))
      for (const { taxa } of key.couplets[couplet]?.leads ?? []) for (const t of taxa) left.add(t);
  return left;
}

function tooFew(key: CompiledKey, plan: PruningPlan, kept: ReadonlySet<number>): Failure {
  const { main } = key.chain;
  const names = [...kept].map((t) => key.taxa[t] as Taxon).filter((t) => keyedOut(key, t));
  const what =
    plan.start === undefined
      ? `no lead of ${main.id} ends at any taxon of the list`
      : plan.start.kind === 'key'
        ? `all that the list keeps lies in the key ${main.id} continues in, ${plan.start.of.end.kind === 'key' ? plan.start.of.end.key : ''}`
        : `only one end of ${main.id} is on the list (${names.map((t) => t.name).join(', ')})`;
  return new Failure(`${what}: a key needs two ends to choose between`, {
    hint: 'add names to the list, or use the key as it is',
  });
}

/** The trimmed key, loaded as a person would load it. */
function opened(text: string, file: string, shelf: Shelf): CompiledKey {
  const { chain, findings } = loadChain(text, file, shelf);
  if (chain !== undefined) return compile(chain);
  throw cannot(
    file,
    findings.find((f) => f.level === 'error'),
  );
}

function cannot(file: string, finding?: Finding): Failure {
  const why =
    finding === undefined ? '' : ` (line ${finding.place.start.line} would say: ${finding.message})`;
  return new Failure(`${file} is written in a way that cannot be trimmed without a person's help${why}`, {
    hint: 'write out what is shared by YAML aliases, and each lead and taxon on lines of its own',
  });
}

/** Checks that the trimmed key is what was planned. */
function checkShape(key: CompiledKey, plan: PruningPlan): void {
  const { main } = key.chain;
  const same =
    main.couplets.size === plan.couplets.size &&
    [...plan.couplets.values()].every(({ id, leads }) => {
      const now = main.couplets.get(id)?.leads ?? [];
      return (
        now.length === leads.length &&
        leads.every(({ lead, target }, i) => {
          const end = now[i]?.end;
          if (now[i]?.text !== lead.lead.text) return false;
          if (target.kind === 'couplet') return end?.kind === 'couplet' && end.couplet === target.id;
          if (target.kind === 'taxa') return end?.kind === 'taxa' && end.taxa.join() === target.taxa.join();
          return end?.kind === 'key' && target.of.end.kind === 'key' && end.key === target.of.end.key;
        })
      );
    });
  if (!same) throw cannot(main.file);
}

function renumbered(
  text: string,
  key: Key,
  before: Key,
): { readonly text: string; readonly numbers?: ReadonlyMap<string, string>; readonly why?: string } {
  const plain = (id: string) => /^(?:0|[1-9]\d*)$/.test(id);
  const first = Math.min(...[...before.couplets.keys()].filter(plain).map(Number));
  const fix = renumberFix(key, first);
  const mark = text.startsWith('\ufeff') ? 1 : 0;
  if (fix === undefined) {
    const ids = [...key.couplets.keys()];
    const ordered = ids.every((id, i) => id === String(first + i));
    if (ordered) return { text };
    const why = ids.every(plain)
      ? 'a text in it refers to a couplet by its number'
      : 'their names are not plain numbers';
    return { text, why };
  }
  const now = text.slice(0, mark) + edited(text.slice(mark), fix.edits);
  return { text: now, numbers: newNumbers(key, first) };
}

/** Old numbers and new ones, in the order of the new. */
function newNumbers(key: Key, first: number): ReadonlyMap<string, string> {
  const ids = [...key.couplets.keys()];
  const index = new Map(ids.map((id, i) => [id, i]));
  const next = [...key.couplets.values()].map((c) =>
    c.leads.flatMap((l) => (l.end.kind === 'couplet' ? (index.get(l.end.couplet) ?? []) : [])),
  );
  const order = readingOrder(next, index.get(key.start) ?? 0);
  return new Map(order.map((from, i) => [ids[from] as string, String(first + i)]));
}

function chainedKeys(after: CompiledKey, kept: ReadonlySet<number>, before: CompiledKey): GoesOnIn[] {
  const ids = new Set([...kept].map((t) => before.taxa[t]?.id ?? ''));
  return after.chain.keys
    .filter((k) => k !== after.chain.main)
    .map((key) => {
      const ends = new Set(
        [...key.couplets.values()].flatMap((c) =>
          c.leads.flatMap((l) => (l.end.kind === 'taxa' ? [...l.end.taxa] : [])),
        ),
      );
      return { key, ends: ends.size, kept: [...ends].filter((t) => ids.has(t)).length };
    });
}
