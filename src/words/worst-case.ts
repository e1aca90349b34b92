import type { Determination } from '../engine/determine.js';
import type { FurtherTaxon, OpenSpecimen } from '../engine/outcome.js';
import type { Taxon } from '../key/key.js';
import { worstToName } from '../key/severity.js';
import { listed } from '../text/words.js';
import { type Further, withHarm } from './cautions.js';
import { coupletName } from './couplet.js';

// Of the rest it is said how many they are.
const MOST_NAMED = 3;

/** Why more is possible at worst than the find as a whole leaves, a sentence each; none where nothing is. */
export function worstCaseTexts(found: Determination): string[] {
  return [...doubtTexts(found), ...specimenTexts(found), ...lendingTexts(found)];
}

/** What is possible at worst, as a verdict is to say it. */
export function furtherOf(found: Determination): Further {
  return { taxa: found.further, why: worstCaseTexts(found) };
}

/**
 * What is possible if something that was doubted, or that contradicts something else, is wrong: `If your answer 5a,
 * which you doubted, is wrong: Galerina marginata (deadly).`
 */
export function doubtTexts(found: Determination): string[] {
  const groups = new Map<string, FurtherTaxon[]>();
  for (const further of found.further) {
    if (further.doubted.length === 0) continue;
    const mark = JSON.stringify([further.doubted, further.specimens]);
    groups.set(mark, [...(groups.get(mark) ?? []), further]);
  }
  return [...groups.values()].map((group) => {
    const [{ doubted, specimens }] = group as [FurtherTaxon];
    const on = specimens.length === 0 ? '' : ` (${listed(specimens)})`;
    return `If ${doubtedText(found, doubted)} wrong: ${taxaText(group.map((f) => f.taxon))}${on}.`;
  });
}

/** `your answer 5a, which you doubted, is`. */
function doubtedText(found: Determination, names: readonly string[]): string {
  const { observations, choices } = found.collection;
  const { characters } = found.key.chain;
  const unsure = new Set([
    ...observations.flatMap((o) => (o.doubted === true ? [o.character] : [])),
    ...choices.flatMap((c) => (c.doubted === true ? [`${c.couplet}${c.letter}`] : [])),
  ]);
  const answers = names.filter((n) => !characters.has(n)).map(coupletName);
  const seen = names.flatMap((n) => characters.get(n)?.name ?? []);
  const parts = [
    ...(answers.length === 0
      ? []
      : [`your ${answers.length === 1 ? 'answer' : 'answers'} ${listed(answers, 'or')}`]),
    ...(seen.length === 0 ? [] : [`what was seen of the ${listed(seen, 'or')}`]),
  ];
  const why = names.every((n) => unsure.has(n)) ? 'which you doubted' : 'which something else contradicts';
  return `${listed(parts, 'or')}, ${why}, is`;
}

/**
 * What each specimen may be that by itself was not looked at well enough: `b and c: nobody looked at ring and spore print;
 * each may be Galerina marginata (deadly).`
 */
export function specimenTexts(found: Determination): string[] {
  const groups = new Map<string, OpenSpecimen[]>();
  for (const open of found.openSpecimens) {
    const mark = JSON.stringify([open.taxa.map((t) => t.id), open.unseen, vainly(found, open)]);
    groups.set(mark, [...(groups.get(mark) ?? []), open]);
  }
  return [...groups.values()].map((group) => {
    const [first, another] = group as [OpenSpecimen, ...OpenSpecimen[]];
    const names = (ids: readonly string[]) =>
      listed(ids.map((id) => found.key.chain.characters.get(id)?.name ?? id));
    const vain = vainly(found, first);
    const unseen = first.unseen.filter((id) => !vain.includes(id));
    const why = [
      ...(unseen.length === 0 ? [] : [`nobody looked at ${names(unseen)}`]),
      ...(vain.length === 0 ? [] : [`nobody could tell ${names(vain)}`]),
    ];
    const who = listed(group.map((o) => o.specimen));
    const may = another === undefined ? 'it may be' : 'each may be';
    return `${who}: ${why.length === 0 ? '' : `${listed(why)}; `}${may} ${taxaText(first.taxa)}.`;
  });
}

/** The characters that somebody looked at on a specimen without result, by an age that counts or not. */
function vainly(found: Determination, { specimen, unseen }: OpenSpecimen): readonly string[] {
  return unseen.filter((id) =>
    found.collection.observations.some((o) => o.specimen === specimen && o.character === id),
  );
}

/** What a specimen may be since what it cannot show itself was not looked at on every one that can. */
function lendingTexts({ further, openSpecimens }: Determination): string[] {
  const said = new Set(openSpecimens.flatMap((o) => o.taxa));
  const rest = further.filter((f) => f.doubted.length === 0 && !said.has(f.taxon));
  if (rest.length === 0) return [];
  const specimens = [...new Set(rest.flatMap((f) => f.specimens))];
  const may = specimens.length === 1 ? 'it may be' : 'each may be';
  return [
    `${listed(specimens)}: what its age cannot show was not looked at on every specimen that can; ${may} ${taxaText(rest.map((f) => f.taxon))}.`,
  ];
}

function taxaText(taxa: readonly Taxon[]): string {
  const shown = worstToName(taxa, MOST_NAMED);
  const more = taxa.length - shown.length;
  return listed([...shown.map(withHarm), ...(more > 0 ? [`one of ${more} others`] : [])], 'or');
}
