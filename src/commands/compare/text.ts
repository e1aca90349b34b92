import type { Agreement, KeyParting } from '../../analysis/agreement.js';
import type { GatheringComparison } from '../../analysis/specimens.js';
import type { Determination } from '../../engine/determine.js';
import type { Taxon } from '../../key/key.js';
import { severity } from '../../key/severity.js';
import { harmless } from '../../text/harmless.js';
import { count, inShort, listed } from '../../text/words.js';
import { wrapLines } from '../../text/wrap.js';
import type { Character } from '../../traits/character.js';
import { concernWords } from '../../words/cautions.js';
import { coupletName, type LineStyle } from '../../words/couplet.js';
import { worstCaseTexts } from '../../words/worst-case.js';
import type { Compared } from './data.js';

const WORDS: Record<Agreement['word'], string> = {
  agree: 'the keys agree',
  overlap: 'the keys agree in part',
  disagree: 'the keys disagree',
  'nothing fits': 'nothing fits in any of the keys',
  'not comparable': 'not comparable',
};

const names = (taxa: readonly Taxon[], joiner = 'or'): string =>
  listed(
    inShort(
      taxa.map((t) => t.name),
      8,
    ),
    joiner,
  );

/** What several keys make of one collection, side by side, for people. `labels` name the keys. */
export function agreementLines(
  compared: Compared,
  labels: readonly string[],
  { width, paint }: LineStyle,
): string[] {
  const { agreement } = compared;
  const { found, word, apart, common, all, lowest, partings, lacking } = agreement;
  const labelOf = (key: Determination['key']) => labels[found.findIndex((f) => f.key === key)] ?? '';
  const line = (text: string): string[] => wrapLines(harmless(text), width, '  ', '    ');
  const id = found[0]?.collection.id ?? '';
  const width_ = Math.max(...labels.map((l) => l.length));
  return [
    ...wrapLines(`${paint.strong(harmless(id))}: ${WORDS[word]}`, width),
    ...found.flatMap((f, i) => line(`${(labels[i] ?? '').padEnd(width_)}  ${opinion(f)}`)),
    ...apart.flatMap(({ key, lacks }) =>
      line(
        lacks === 'taxa'
          ? `${labelOf(key)} has no taxon in common with ${found.length === 2 ? 'the other key' : 'the other keys'}`
          : `${labelOf(key)} knows nothing that was seen of it`,
      ),
    ),
    ...(word === 'overlap' ? line(`left by all: ${names(common)}`) : []),
    ...(word === 'agree' || word === 'not comparable' || all.length < 2
      ? []
      : line(
          `together: ${lowest === undefined ? 'no taxon that the keys know holds all' : `${lowest.name}, unresolved`}`,
        )),
    ...partings.flatMap((p) => line(partingText(p, labelOf(p.key), labelOf(p.namedBy)))),
    ...lacking.flatMap((l) => line(`${labelOf(l.key)} does not hold ${names(l.taxa)}`)),
    ...found.flatMap((f) => worstCaseTexts(f).flatMap((text) => line(`${labelOf(f.key)}: ${text}`))),
    ...line(verdict(agreement)).map((text) =>
      agreement.verdict.word === 'leave it' ? paint.alarm(text) : text,
    ),
  ];
}

/** What is to be said of a comparison that holds for other finds as well: it is said once, at the end. */
export function agreementNotes(
  { agreement: { found, otherNames }, unknown, left }: Compared,
  labels: readonly string[],
): string[] {
  const labelOf = (key: Determination['key']) => labels[found.findIndex((f) => f.key === key)] ?? '';
  return [
    ...otherNames.map((o) => `${labelOf(o.key)} calls ${o.as} ${o.name}`),
    ...found.flatMap((f) => f.warnings.filter((w) => w.kind === 'out-of-scope').map((w) => w.message)),
    ...unknown.flatMap((characters, i) =>
      characters.map(
        (c) => `${labels[i]} does not know what was seen of ${c}; it counts as "cannot tell" there`,
      ),
    ),
    ...left.flatMap((all, i) =>
      all.map(
        (l) =>
          `${l.what} of ${labelOf(found.find((f) => f.key.chain === l.from)?.key as Determination['key'])} is not carried into ${labels[i]}: ${l.why}`,
      ),
    ),
  ];
}

function opinion({ possible, name, qualifier }: Determination): string {
  if (possible.length === 0) return 'fits nothing in this key';
  const worstFirst = [...possible].sort((a, b) => severity(a) - severity(b));
  if (possible.length === 1) return `${qualifier === undefined ? '' : `${qualifier} `}${name ?? ''}`;
  const what = name === undefined ? (qualifier ?? '') : `${name} ${qualifier ?? ''}`;
  return `${what.trim()}: ${names(worstFirst)}`;
}

function partingText(p: KeyParting, own: string, other: string): string {
  const couplet = coupletName(p.couplet);
  const by = p.characters.length === 0 ? '' : `, by ${listed(p.characters)}`;
  const taken =
    p.taken.length === 0
      ? 'no lead fits'
      : `${listed(
          p.taken.map((l) => couplet + l),
          'or',
        )} is taken${by}`;
  return `in ${own} the ways part at couplet ${couplet}: ${taken}; ${couplet}${p.lead} leads to ${p.taxon.name}, which ${other} names`;
}

function verdict({ found, verdict: { word, worst, settled } }: Agreement): string {
  const possible = found.flatMap((f) => [...f.possible, ...f.further.map((t) => t.taxon)]);
  if (word === 'leave it') {
    const worstOnes = [...new Set(possible.filter((t) => t.concern.level === worst).map((t) => t.name))];
    return `verdict: leave it${settled ? ', whichever key is right' : ''}; the worst that any of the keys leaves: ${concernWords(worst)} (${listed(inShort(worstOnes, 4))})`;
  }
  return possible.length === 0
    ? 'verdict: not cleared; these keys say nothing about what it does'
    : 'verdict: not cleared; the find may be something that none of these keys holds';
}

/** Two gatherings beside each other, for people. */
export function gatheringsLines(g: GatheringComparison, { width, paint }: LineStyle): string[] {
  const { first, second, sameTaxon, common, conflicts, measuresApart, agrees, onlyFirst, onlySecond } = g;
  const [a, b] = [first.collection.id, second.collection.id];
  const line = (text: string): string[] => wrapLines(harmless(text), width, '  ', '    ');
  const same = {
    possible: `may be the same: ${names(common)}`,
    'ruled out': 'are not the same taxon by this key',
    'not known': 'cannot be compared: at least one fits nothing in this key',
  }[sameTaxon];
  const characters = (list: readonly Character[]) =>
    listed(
      inShort(
        list.map((c) => c.name),
        10,
      ),
    );
  return [
    ...wrapLines(`${paint.strong(harmless(`${a} and ${b}`))} ${harmless(same)}`, width, '', '  '),
    ...[first, second].flatMap((f) => line(`${f.collection.id}: ${opinion(f)}`)),
    ...conflicts.flatMap(({ character, shown, varies }) =>
      line(
        `they differ in ${character.name} (${shown.map((s) => `${s.specimen}: ${s.value}`).join(', ')})${varies ? ', in which a taxon that both may be varies' : ''}`,
      ),
    ),
    ...(measuresApart.length === 0
      ? []
      : line(
          `their measures lie apart in ${characters(measuresApart)}, which specimens of one taxon may do`,
        )),
    ...line(
      agrees.length === 0
        ? 'nothing that was seen of both agrees'
        : `they agree in ${count(agrees.length, 'character')}: ${characters(agrees)}`,
    ),
    ...(onlyFirst.length === 0 ? [] : line(`known of ${a} only: ${characters(onlyFirst)}`)),
    ...(onlySecond.length === 0 ? [] : line(`known of ${b} only: ${characters(onlySecond)}`)),
    ...line(gatheringsVerdict(g)),
  ];
}

function gatheringsVerdict({ first, second }: GatheringComparison): string {
  const words = [first, second].map((f) => `${f.collection.id}: ${f.verdict.word}`);
  return `verdict: ${words.join('; ')}; a second gathering clears nothing`;
}
