import type { Analysis } from '../analysis/analysis.js';
import type { NextCharacter } from '../analysis/next-characters.js';
import type { CompiledKey } from '../engine/compile.js';
import { nearHarm } from '../engine/determine.js';
import type { Candidate, Warning } from '../engine/outcome.js';
import type { OpenCouplet } from '../engine/session.js';
import { harmless } from '../text/harmless.js';
import { count, listed } from '../text/words.js';
import { wrapLines } from '../text/wrap.js';
import { type Character, characterName } from '../traits/character.js';
import { analysisSections, type Section } from './analysis.js';
import { cautions, verdictText, whyBesides } from './cautions.js';
import { coupletName, type LineStyle } from './couplet.js';
import { shortPath } from './paths.js';
import { type Summary, type SummaryNear, summaryLines, summaryOfAll } from './summary.js';
import { furtherOf } from './worst-case.js';

const QUALIFIERS: Record<string, string> = {
  'cf.': 'to be compared: a lead on the way to it is still open',
  'sp.': 'one of several within it, not known which',
  'spp.': 'more than one within it, as it seems',
  'indet.': 'not determined: no one name holds all that is possible',
};

/** Warnings that the verdict and the lists of a summary say already. */
const SAID_ALREADY: readonly string[] = ['harmful-near', 'fits-nothing'];
/** Of several remarks these come first, in this order: a short list may leave the others out. */
const GRAVEST: readonly Warning['kind'][] = ['two-species', 'far-outside', 'duty', 'contradiction'];
// More would not be done at once; a full report names them all.
const MOST_LOOKS = 4;

/** What a person answered or left open while keying, as far as a result has to speak of it. */
export interface KeyingWords {
  readonly open: readonly OpenCouplet[];
  /** The answers that the person was not sure of: labels of leads. */
  readonly doubted: readonly string[];
}

const NOTHING_SAID: KeyingWords = { open: [], doubted: [] };

/** What a determination comes to, for one screen. */
export function summaryOf(analysis: Analysis, { doubted } = NOTHING_SAID): Summary {
  const { found, next } = analysis;
  const { collection, key, candidates, name, qualifier, verdict, warnings } = found;
  const { main } = key.chain;
  // What is possible at worst is named with its reason already.
  const worst = new Set(found.further.map((f) => f.taxon));
  const near = (candidates.length === 0 ? found.near : nearHarm(found)).filter((n) => !worst.has(n.taxon));
  const further = furtherOf(found);
  return {
    heading: `${collection.id}, keyed with ${main.id} ${main.version}`,
    verdict,
    says: verdictText(verdict, candidates, further),
    name: nameWithDoubt(name, qualifier),
    candidates,
    further: whyBesides(verdict, candidates, further),
    near: near.map((n) => nearOf(n, key)),
    looks: lookTexts(next.looks, next.couplets),
    remarks: [
      ...(doubted.length === 0 ? [] : [`You were not sure of ${listed(doubted)}: look there again first.`]),
      ...warnings
        .filter((w) => !SAID_ALREADY.includes(w.kind))
        .sort((a, b) => rankOf(a) - rankOf(b))
        .map((w) => w.message),
    ],
  };
}

function rankOf({ kind }: Warning): number {
  const at = GRAVEST.indexOf(kind);
  return at < 0 ? GRAVEST.length : at;
}

/** `cf. Galerina marginata`, `Hypholoma sp.`; undefined where there is no name. */
export function nameWithDoubt(name: string | undefined, qualifier: string | undefined): string | undefined {
  if (name === undefined) return qualifier;
  if (qualifier === undefined) return name;
  return qualifier === 'cf.' ? `cf. ${name}` : `${name} ${qualifier}`;
}

function nearOf(candidate: Candidate, key: CompiledKey): SummaryNear {
  const { taxon, recheck, reconsider } = candidate;
  return { taxon, again: againWords(key, recheck, reconsider) };
}

/** What is to be looked at again, in words. */
function againWords(key: CompiledKey, recheck: readonly string[], reconsider: readonly string[]): string[] {
  const answers = reconsider.length === 0 ? [] : [`your answer ${listed(reconsider.map(coupletName))}`];
  return [...recheck.map((id) => characterName(key.chain.characters, id)), ...answers];
}

/** What to look at, a line each: what can be seen now first. */
export function lookTexts(looks: readonly NextCharacter[], couplets: readonly string[]): string[] {
  return [
    ...looksInWords(looks).map((look) => look.text),
    ...couplets.slice(0, 2).map((couplet) => `couplet ${coupletName(couplet)}, by eye`),
  ];
}

/** The characters most worth looking at, in the order given, with when, how and what they may show. */
export function looksInWords(
  looks: readonly NextCharacter[],
): { readonly character: Character; readonly text: string }[] {
  const parting = looks.filter((l) => l.pairs > 0);
  const shown = (parting.length > 0 ? parting : looks.slice(0, 2)).slice(0, MOST_LOOKS);
  return shown.map((look) => ({ character: look.character, text: lookText(look) }));
}

function lookText({ character, when, fresh, seen, outcomes }: NextCharacter): string {
  const how = [
    when === 'another age' ? `on another specimen, ${listed(character.stages, 'or')}` : '',
    fresh ? 'while it is fresh' : '',
    when !== 'another age' && character.wait !== undefined ? `takes ${character.wait}` : '',
    seen === 'in vain' ? 'looked at in vain so far' : '',
  ].filter((t) => t !== '');
  const states = outcomes.map((o) => o.shows).filter((shows) => shows !== 'does not apply');
  const choice = character.kind !== 'choice' || states.length < 2 ? '' : `: ${listed(states, 'or')}`;
  return `${character.name}${how.length === 0 ? '' : ` (${how.join(', ')})`}${choice}`;
}

/** The result of a keying on one screen. */
export function shortLines(
  analysis: Analysis,
  setting: LineStyle,
  centre: string | undefined,
  keying = NOTHING_SAID,
  more?: string,
  most?: number,
): string[] {
  return summaryLines(summaryOf(analysis, keying), setting, centre, more, most);
}

/** All that is known of a determination, each thing once: the summary without its limits, then what it rests on. */
export function fullLines(analysis: Analysis, setting: LineStyle, keying = NOTHING_SAID): string[] {
  const { width, paint } = setting;
  const { looks: _, ...rest } = summaryOf(analysis, keying);
  const qualifier = qualifierText(analysis.found.qualifier);
  return [
    ...summaryOfAll({ ...rest, looks: [] }, setting),
    ...(qualifier === undefined ? [] : wrapLines(qualifier, width, '', '  ')),
    ...fullSections(analysis, keying).flatMap(({ heading, items }) => [
      '',
      ...wrapLines(paint.strong(heading), width),
      ...items.flatMap((text) => wrapLines(harmless(text), width, '  - ', '    ')),
    ]),
  ];
}

/** What a qualifier of a name means; undefined where there is none. */
export function qualifierText(qualifier: string | undefined): string | undefined {
  return qualifier === undefined ? undefined : `${qualifier}: ${QUALIFIERS[qualifier] ?? ''}`;
}

/** What a determination rests on besides its summary, part by part; parts that say nothing are left out. */
export function fullSections(analysis: Analysis, keying = NOTHING_SAID): Section[] {
  const { key, candidates } = analysis.found;
  const own: Section[] = [
    {
      heading: candidates.length === 1 ? 'The way to it' : 'The ways to them',
      items: candidates.map((c) => wayText(c, key)),
    },
    {
      heading: 'Still open',
      items: keying.open.map(
        (o) =>
          `couplet ${coupletName(o.couplet.name)}: ${listed(o.letters, 'or')} (${o.unsure ? 'you could not tell' : 'not asked'})`,
      ),
    },
  ];
  return [...own.filter((s) => s.items.length > 0), ...analysisSections(analysis)];
}

/** The cautions in full, as they stand below a full report. */
export function cautionSection(centre: string | undefined, { width, paint }: LineStyle): string[] {
  return [
    '',
    paint.strong('Cautions'),
    ...cautions(centre).flatMap((text) => wrapLines(harmless(text), width, '  - ', '    ')),
  ];
}

function wayText({ taxon, path, open }: Candidate, key: CompiledKey): string {
  const synonyms = taxon.synonyms.length === 0 ? '' : `; also called ${listed(taxon.synonyms)}`;
  const undecided = open === 0 ? '' : `, ${count(open, 'lead')} of it open`;
  return `${taxon.name}: ${shortPath(path, key)}${undecided}${synonyms}`;
}
