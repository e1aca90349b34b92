/** Parts taxa that share an end of a key by new couplets, chosen as a draft chooses them. */
import type { CompiledCouplet, CompiledLead } from '../../../engine/compile.js';
import type { Logic } from '../../../engine/logic.js';
import { type Data, readYaml } from '../../../key/document.js';
import { asMap } from '../../../key/fields.js';
import type { Key, Taxon } from '../../../key/key.js';
import type { KeyText } from '../../../key/keytext.js';
import { addBit, noBits, size } from '../bits.js';
import { candidatesAt, type GrowingPlace } from '../candidates.js';
import { Chooser } from '../choose.js';
import type { Facts } from '../facts.js';
import { coupletsOf, type Grown, type GrowOptions } from '../grow.js';
import { allLeadWords, leadWordsOf } from '../lead-words.js';
import { draftedCouplets, ordered } from '../write.js';
import { placeBeyond } from './places.js';

/** A lead that ends at taxa, with those that it ended at before. */
export interface SharedEnd {
  readonly couplet: CompiledCouplet;
  readonly lead: CompiledLead;
  readonly before: readonly string[];
}

/** What was done at an end. */
interface PartedEnd {
  readonly label: string;
  readonly couplets: readonly string[];
}

/** What is needed to part ends. */
interface Parting {
  readonly logic: Logic;
  readonly facts: Facts;
  readonly options: GrowOptions;
  /** The key before it was revised: what a couplet of it was called means nothing else now. */
  readonly was: Key;
  /** Whether an author left taxa together that could have been parted before: then they stay together. */
  readonly meant: (end: SharedEnd) => boolean;
}

/** Writes new couplets for the ends at which taxa came together, and says beside those that cannot be parted why. */
export function partEnds(
  text: KeyText,
  ends: readonly SharedEnd[],
  { logic, facts, options, was, meant }: Parting,
): PartedEnd[] {
  const { main } = logic.key.chain;
  const chooser = new Chooser(facts, options);
  const number = new Map(facts.taxa.map((t, i) => [t.id, i]));
  const words = leadWordsOf(main.language);
  const numbers = new Map<Grown, string>();
  const next = freeNumbers([...main.couplets.keys(), ...was.couplets.keys()]);
  const parted: PartedEnd[] = [];
  let left = options.mostCouplets;
  for (const end of ends) {
    const { couplet, lead } = end;
    const ids = lead.taxa.map((t) => logic.key.taxa[t]?.id ?? '');
    const own = noBits(facts.taxa.length);
    for (const id of ids) {
      const t = number.get(id);
      if (t !== undefined) addBit(own, t);
    }
    const couldPart = ids.length > 1 && ids.every((id) => number.has(id)) && !meant(end);
    const grown = couldPart
      ? ordered(grownAt(chooser, placeBeyond(logic, couplet, lead, facts, own), () => left-- > 0))
      : undefined;
    const path = lead.lead.path;
    const made = allLeadWords.some((w) => Object.values(w.together).includes(lead.lead.note ?? ''));
    if (grown?.kind === 'couplet') {
      const all = coupletsOf(grown);
      for (const one of all) numbers.set(one, next());
      text.replacePair([...path, 'taxon'], [['to', text.word(numbers.get(grown) as string)]]);
      if (made) text.removeFrom(path, new Set(['note']));
      parted.push({ label: lead.label, couplets: all.map((c) => numbers.get(c) as string) });
      writeCouplets(text, facts, all, numbers, main);
    } else if (ids.length > 1 && lead.lead.note === undefined && grown !== undefined)
      text.addPairs(
        path,
        ['taxon'],
        [['note', JSON.stringify(words.together[grown.kind === 'end' ? grown.why : 'alike'])]],
      );
    else if (ids.length === 1 && made) text.removeFrom(path, new Set(['note']));
  }
  return parted;
}

function writeCouplets(
  text: KeyText,
  facts: Facts,
  couplets: readonly Grown[],
  numbers: ReadonlyMap<Grown, string>,
  main: Key,
): void {
  for (const couplet of couplets) {
    const own = new Map([[couplet, numbers.get(couplet) as string]]);
    // Every couplet is written by itself, but leads go to all.
    const lines = draftedCouplets(facts, numbers, main.language ?? 'en', own);
    const name = numbers.get(couplet) as string;
    text.addEntry(['couplets'], lines, name, text.data(leadsIn(lines)));
  }
}

/** The leads of a couplet as data, for keys that are written within brackets. */
function leadsIn(lines: readonly string[]): Data {
  const [leads] = Object.values(asMap(readYaml(lines.join('\n'), '').data));
  return leads as Data;
}

/** Grows couplets from a place until nothing parts its taxa. */
function grownAt(chooser: Chooser, place: GrowingPlace, may: () => boolean): Grown {
  if (size(place.taxa) < 2) return { kind: 'end', place, why: 'alike' };
  const choice = may() ? chooser.choose(place) : 'size';
  if (typeof choice === 'string') return { kind: 'end', place, why: choice };
  return {
    kind: 'couplet',
    place,
    split: choice.candidate.split,
    behind: choice.behind.map((next) => grownAt(chooser, next, may)),
  };
}

/** Whether some couplet would part taxa at the end of a lead. */
export function canPart(
  logic: Logic,
  couplet: CompiledCouplet,
  lead: CompiledLead,
  facts: Facts,
  taxa: readonly Taxon['id'][],
  mostLeads: number,
): boolean {
  const own = noBits(facts.taxa.length);
  facts.taxa.forEach((t, i) => {
    if (taxa.includes(t.id)) addBit(own, i);
  });
  return candidatesAt(facts, placeBeyond(logic, couplet, lead, facts, own), mostLeads).length > 0;
}

/** The numbers that no couplet has, from the highest on. */
function freeNumbers(taken: readonly string[]): () => string {
  const used = new Set(taken);
  let last = Math.max(0, ...taken.filter((id) => /^\d{1,9}$/.test(id)).map(Number));
  return () => {
    do last++;
    while (used.has(String(last)));
    return String(last);
  };
}
