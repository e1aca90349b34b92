import type { Finding, Path } from '../diagnostic/finding.js';
import type { Chain } from '../key/chain.js';
import type { Reporter } from '../key/fields.js';
import type { Taxon } from '../key/key.js';
import { TaxonNames } from '../key/taxon-names.js';
import { quoted } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import { listed } from '../text/words.js';
import type { Character } from '../traits/character.js';
import type { NamedKey, TaxonRelation, WrittenCharacter, WrittenCorrespondences } from './read.js';

/** A character of one key that is one of another, with what that means for its values. */
export interface CharacterPair {
  readonly from: Character;
  readonly to: Character;
  /**
   * By state of `from`, the numbers of the states of `to` that it may be: none where it is known to be none of them,
   * undefined where nothing is known of it.
   */
  readonly states: readonly (readonly number[] | undefined)[];
  /** How many units of `to` one unit of `from` is, in digits; absent where the units say it. */
  readonly factor?: string;
  readonly confirmed: boolean;
}

/** A taxon of one key that is, lies within or contains one of the other. */
export interface TaxonPair {
  readonly from: Taxon;
  readonly to: Taxon;
  readonly how: TaxonRelation;
  readonly confirmed: boolean;
}

/** What of one key is what of another, held against both keys. */
export interface Correspondences {
  readonly file: string;
  readonly from: Chain;
  readonly to: Chain;
  /** Each character of either key at most once. */
  readonly characters: readonly CharacterPair[];
  readonly taxa: readonly TaxonPair[];
  /** Characters that both keys take from one file, by id: they are one without any entry. */
  readonly shared: ReadonlySet<string>;
}

/** Which of two keys a file begins with; undefined where it is about others. */
export function inOrder<K extends { readonly chain: Chain }>(
  { from, to }: Pick<WrittenCorrespondences, 'from' | 'to'>,
  a: K,
  b: K,
): readonly [from: K, to: K] | undefined {
  const fits = (first: K, second: K) => first.chain.main.id === from.key && second.chain.main.id === to.key;
  // Of two versions of one key, the version says which is which.
  const turned = fits(b, a) && b.chain.main.version === from.version && a.chain.main.version === to.version;
  if (fits(a, b) && !(from.key === to.key && turned)) return [a, b];
  return fits(b, a) ? [b, a] : undefined;
}

/** The ways in which the versions of the keys differ from those that the file was written for, one sentence each. */
export function versionNotes(
  { file, from, to }: WrittenCorrespondences,
  chains: readonly [Chain, Chain],
): string[] {
  return [from, to].flatMap(({ key, version }: NamedKey, i) => {
    const now = chains[i]?.main.version ?? '';
    return now === version
      ? []
      : [`${file} was written for ${key} ${version}; this is ${now}, so look whether it still holds`];
  });
}

/** Holds a file of correspondences against both keys; there are correspondences where nothing is wrong with it. */
export function checkCorrespondences(
  written: WrittenCorrespondences,
  from: Chain,
  to: Chain,
): { readonly correspondences: Correspondences; readonly findings: readonly Finding[] } {
  const { report } = written;
  const characters = written.characters.flatMap((c) => characterPair(c, from, to, report));
  onlyOnce(written, report);
  const taxa = taxonPairs(written, from, to, report);
  return {
    correspondences: { file: written.file, from, to, characters, taxa, shared: sharedCharacters(from, to) },
    findings: report.findings,
  };
}

function characterPair(
  { id, is, states, factor, confirmed }: WrittenCharacter,
  from: Chain,
  to: Chain,
  report: Reporter,
): CharacterPair[] {
  const path = ['characters', id];
  const [one, other] = [from.characters.get(id), to.characters.get(is)];
  if (one === undefined) unknownCharacter(id, from, path, 'name', report);
  if (other === undefined) unknownCharacter(is, to, [...path, 'is'], 'value', report);
  if (one === undefined || other === undefined) return [];
  if ((one.kind === 'choice') !== (other.kind === 'choice')) {
    report.add(
      'value-kind',
      `${id} is ${kindOf(one)} in ${from.main.id}, and ${is} is ${kindOf(other)} in ${to.main.id}: neither can be carried into the other`,
      [...path, 'is'],
      {
        found: is,
        expected: `a character that is ${one.kind === 'choice' ? 'chosen from states' : 'a number'}`,
      },
    );
    return [];
  }
  if (one.kind !== 'choice') {
    if (states.length > 0)
      report.add('property-fits', `${id} is ${kindOf(one)} and has no states`, [...path, 'states'], {
        side: 'name',
      });
    if (!checkUnits(one, other, factor, path, report)) return [];
    return [defined({ from: one, to: other, states: [], factor, confirmed })];
  }
  if (factor !== undefined)
    report.add('property-fits', `${id} is chosen from states and has no factor`, [...path, 'factor'], {
      side: 'name',
    });
  const known: (readonly number[] | undefined)[] = one.states.map(() => undefined);
  for (const { state, others } of states) {
    const index = one.stateIndex.get(state);
    if (index === undefined) unknownState(state, one, from, [...path, 'states', state], 'name', report);
    const numbers = others.flatMap(({ other: word, path: at }) => {
      const number = other.stateIndex.get(word);
      if (number === undefined) unknownState(word, other, to, at, 'value', report);
      return number ?? [];
    });
    if (index !== undefined) known[index] = numbers;
  }
  if (confirmed && states.length === 0)
    report.add(
      'property-needed',
      `${id} is confirmed, but nothing is said of its states, so it carries nothing`,
      path,
      {
        side: 'name',
        expected: 'states',
      },
    );
  return [{ from: one, to: other, states: known, confirmed }];
}

/** Whether numbers of the one can be made numbers of the other. */
function checkUnits(
  one: Character,
  other: Character,
  factor: string | undefined,
  path: Path,
  report: Reporter,
): boolean {
  const alike = one.unit.dimension === other.unit.dimension;
  if (alike && factor !== undefined) {
    report.add(
      'property-fits',
      one.unit.id === other.unit.id
        ? `${one.id} and ${other.id} have the same unit, so that no factor is needed`
        : `${one.unit.id} is converted into ${other.unit.id} without a factor`,
      [...path, 'factor'],
      { side: 'name', found: factor, expected: 'no factor' },
    );
  }
  if (alike || factor !== undefined) return true;
  report.add(
    'property-needed',
    `${one.id} is ${kindOf(one)} and ${other.id} ${kindOf(other)}: a factor must say how many of the second one of the first is`,
    path,
    { side: 'name', expected: 'factor' },
  );
  return false;
}

function unknownCharacter(
  id: string,
  chain: Chain,
  path: Path,
  side: 'name' | 'value',
  report: Reporter,
): void {
  report.unknown(
    'character-known',
    `there is no character ${quoted(id)} in ${chain.main.id}`,
    id,
    [...chain.characters.keys()],
    path,
    side,
  );
}

function unknownState(
  state: string,
  character: Character,
  chain: Chain,
  path: Path,
  side: 'name' | 'value',
  report: Reporter,
): void {
  report.unknown(
    'state-known',
    `${quoted(state)} is not a state of ${character.id} in ${chain.main.id}`,
    state,
    [...character.stateIndex.keys()],
    path,
    side,
  );
}

/** A character of the other key that two characters are would say of both what was seen of one. */
function onlyOnce({ characters, taxa }: WrittenCorrespondences, report: Reporter): void {
  const first = new Map<string, Path>();
  const twice = (word: string, path: Path, message: (of: string) => string) => {
    const before = first.get(word);
    if (before === undefined) first.set(word, path);
    else
      report.add('value-unique', message(String(before[1])), path, {
        expected: 'each only once',
        related: [{ message: 'the first one', place: report.yaml.place(before) }],
      });
  };
  for (const { id, is } of characters)
    twice(
      `character ${is}`,
      ['characters', id, 'is'],
      (of) => `${is} is said of ${of} already; a character is one other only`,
    );
  for (const { id, relations } of taxa)
    for (const { how, other } of relations)
      if (how === 'same')
        twice(
          `taxon ${other}`,
          ['taxa', id, 'same'],
          (of) => `${other} is the same as ${of} already; a taxon is one other only`,
        );
}

function taxonPairs({ taxa }: WrittenCorrespondences, from: Chain, to: Chain, report: Reporter): TaxonPair[] {
  return taxa.flatMap(({ id, relations, confirmed }): TaxonPair[] => {
    const one = from.taxa.get(id);
    if (one === undefined) unknownTaxon(id, from, ['taxa', id], 'name', report);
    if (relations.length === 0)
      report.add('property-needed', `${quoted(id)} needs "same", "within" or "contains"`, ['taxa', id], {
        side: 'name',
        expected: 'same, within or contains',
      });
    const said = new Map<string, TaxonRelation>();
    return relations.flatMap(({ how, other, path }) => {
      const before = said.get(other);
      if (before !== undefined && before !== how)
        report.add(
          'value-unique',
          `${other} stands under "${before}" as well; only one of both can be`,
          path,
          {
            expected: 'each only once',
          },
        );
      said.set(other, how);
      const second = to.taxa.get(other);
      if (second === undefined) unknownTaxon(other, to, path, 'value', report);
      return one === undefined || second === undefined ? [] : [{ from: one, to: second, how, confirmed }];
    });
  });
}

function unknownTaxon(id: string, chain: Chain, path: Path, side: 'name' | 'value', report: Reporter): void {
  // Whoever writes a name or a common name means the taxon that bears it.
  const called = new TaxonNames(chain.taxa.values()).called(id).map((t) => t.id);
  const what = `there is no taxon ${quoted(id)} in ${chain.main.id}`;
  if (called.length > 0)
    report.add('taxon-known', `${what}; it is called ${listed(called, 'or')} there`, path, {
      side,
      found: id,
      expected: listed(called, 'or'),
      nearest: called[0],
    });
  else report.unknown('taxon-known', what, id, [...chain.taxa.keys()], path, side);
}

/** Characters of both keys that are defined in one place: they use the same terms, or continue in the same key. */
export function sharedCharacters(a: Chain, b: Chain): ReadonlySet<string> {
  const placeOf = (chain: Chain, id: string): string => {
    const places = chain.keys.flatMap((key) => key.characterPlace(id) ?? []);
    return places.map(({ file, start }) => `${file}:${start.offset}`).join(' ');
  };
  return new Set(
    [...a.characters.keys()].filter((id) => {
      const [one, other] = [placeOf(a, id), placeOf(b, id)];
      return (
        b.characters.has(id) && [...new Set(one.split(' '))].join() === [...new Set(other.split(' '))].join()
      );
    }),
  );
}

/** What kind of value a character takes, in words. */
export function kindOf(character: Character): string {
  if (character.kind === 'choice') return 'chosen from states';
  return character.kind === 'count' ? 'a count' : `a measure in ${character.unit.id}`;
}
