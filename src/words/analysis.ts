import type { Analysis } from '../analysis/analysis.js';
import type { Decision } from '../analysis/decision.js';
import type { Fit, RelativeFit } from '../analysis/fit.js';
import type { Next, NextCharacter, When } from '../analysis/next-characters.js';
import type { Reliance } from '../analysis/reliance.js';
import type { SpecimenComparison } from '../analysis/specimens.js';
import { NOT_SURE, type WhatIf, type WhatIfs, type WhatIfTaxon } from '../analysis/what-if.js';
import { MONTHS } from '../engine/scope.js';
import type { Taxon } from '../key/key.js';
import { endangers, isHarmful } from '../key/severity.js';
import { count, inShort, listed } from '../text/words.js';
import type { Character } from '../traits/character.js';
import { concernWords } from './cautions.js';
import { coupletName } from './couplet.js';

/** A part of a report: a heading and what stands under it, a paragraph each. */
export interface Section {
  readonly heading: string;
  readonly items: readonly string[];
}

// More would not be read; the formats for programs hold all.
const MOST_ITEMS = 6;
const MOST_LOOKS = 4;
/** Characters that the key says are read right less often than this are named as such. */
const SURE_ENOUGH = 0.9;
const MOST_MISREAD = 3;

/** What an analysis says, for the person, in the order in which it is asked: does it fit, what if, what next. */
export function analysisSections(analysis: Analysis): Section[] {
  const { fits, doubts, next, decision, specimens, reliances, found } = analysis;
  // What is out of scope stands among the warnings.
  const warned = new Set(found.warnings.map((w) => w.message));
  const sections: Section[] = [
    { heading: 'How it fits the descriptions', items: fitItems(fits) },
    { heading: 'If one observation or answer was wrong', items: whatIfItems(doubts) },
    { heading: 'Harmful taxa not named so far', items: unnamedItems(decision, found.candidates.length) },
    { heading: 'What the name rests on', items: relianceItems(reliances) },
    { heading: 'The specimens side by side', items: specimens === undefined ? [] : specimenItems(specimens) },
    { heading: 'What to look at next', items: nextItems(next, decision) },
    {
      heading: 'Why it may not be in this key',
      items: decision.notInKey.filter((r) => !warned.has(r)).map(withoutEnd),
    },
  ];
  return sections.filter((s) => s.items.length > 0);
}

/** The heading already says what each of these ends with. */
function withoutEnd(text: string): string {
  return text.replace(/: the find may not be in this key$/, '');
}

const names = (characters: readonly Character[]): string =>
  listed(
    inShort(
      characters.map((c) => c.name),
      8,
    ),
  );

const withHarm = (taxon: Taxon): string => `${taxon.name} (${concernWords(taxon.concern.level)})`;

function fitItems(fits: readonly Fit[]): string[] {
  const described = fits.filter((f) => f.taxon.traits.size > 0);
  const silent = fits.filter((f) => f.taxon.traits.size === 0).map((f) => f.taxon.name);
  const telling = described.filter(
    (f) =>
      described.length <= MOST_ITEMS ||
      f.differs.length > 0 ||
      f.outOfSeason !== undefined ||
      f.lookAlikes.some((l) => l.fits === 'better'),
  );
  const items = telling.slice(0, MOST_ITEMS).map(fitText);
  const more = described.length - items.length;
  if (more > 0)
    items.push(
      `${count(more, items.length === 0 ? 'candidate' : 'other candidate')} would fit, as far as they are described.`,
    );
  if (silent.length > 0)
    items.push(`Not described in this key, so not compared: ${listed(inShort(silent, MOST_ITEMS))}.`);
  return items;
}

function fitText(fit: Fit): string {
  const { taxon, agrees, differs, partly, unseen, lookAlikes } = fit;
  const seen = agrees.length + differs.length + partly.length;
  const parts = [`agrees in ${agrees.length} of ${count(seen, 'character')} seen`];
  if (differs.length > 0) parts.push(`differs in ${names(differs)}`);
  if (partly.length > 0) parts.push(`agrees in part in ${names(partly)}`);
  if (unseen.length > 0) parts.push(`not looked at: ${names(unseen)}`);
  if (fit.outOfSeason !== undefined)
    parts.push(
      `found in ${MONTHS[fit.outOfSeason - 1]}, which is not among the months stated for it (${listed(taxon.months.map((m) => MONTHS[m - 1] ?? ''))})`,
    );
  const alike = lookAlikes
    .filter((l) => l.fits === 'better' || (l.fits === 'as well' && l.compared > 2))
    .map((l) =>
      l.fits === 'better'
        ? `${withHarm(l.taxon)}, a look-alike that the key ruled out, fits better${l.speaks.length === 0 ? '' : ` (by ${names(l.speaks)})`}`
        : `${withHarm(l.taxon)}, a look-alike that the key ruled out, fits as well`,
    );
  return `${taxon.name} ${parts.join('; ')}.${alike.length === 0 ? '' : ` But ${listed(inShort(alike, 4))}.`}`;
}

const RELATIVE_FIT: Record<RelativeFit, string> = {
  better: 'and fits the rest better',
  'as well': 'and fits the rest as well',
  worse: 'though it fits the rest worse',
  'not compared': 'the rest cannot be compared',
};

function whatIfItems({ one, two }: WhatIfs): string[] {
  const items = one.filter((d) => d.likely.includes(NOT_SURE) || d.ends.some(isTold)).map(whatIfText);
  const rest = one.length - items.length;
  if (rest > 0)
    items.push(
      `${count(rest, items.length === 0 ? 'observation' : 'other observation')} would lead only to taxa without recorded harm that fit the rest worse.`,
    );
  const harmful = two.filter((t) => endangers(t.taxon)).map((t) => withHarm(t.taxon));
  if (harmful.length > 0) items.push(`Two wrong ones away: ${listed(inShort(harmful, MOST_ITEMS))}.`);
  return items;
}

/** Whether it is worth a word: it fits the rest as well, or does harm. */
function isTold({ fits, taxon }: WhatIfTaxon): boolean {
  return fits !== 'worse' || isHarmful(taxon.concern.level);
}

function whatIfText(doubt: WhatIf): string {
  const { character, answer, likely, ends } = doubt;
  const what = character === undefined ? `answer ${coupletName(answer ?? '')}` : character.name;
  const why = likely.length === 0 ? '' : ` (likelier than others: ${likely.join('; ')})`;
  const told = ends.filter(isTold);
  const harmful = told.filter((e) => isHarmful(e.taxon.concern.level));
  const shown = [
    ...harmful,
    ...told.filter((e) => !harmful.includes(e)).slice(0, Math.max(0, 4 - harmful.length)),
  ];
  const texts = shown.map((e) => `${withHarm(e.taxon)} at ${coupletName(e.at)}, ${RELATIVE_FIT[e.fits]}`);
  const more = ends.length - shown.length;
  return `${what}${why}: then ${texts.join('; or ')}${more > 0 ? `; or one of ${more} more` : ''}.`;
}

/** What the what-ifs have not said: harmful members of groups, and what more than one observation rules out. */
function unnamedItems({ ruledOut, ruledOutByMore, members }: Decision, candidates: number): string[] {
  const more = ruledOut.filter((r) => r.strength === 'two observations').length + ruledOutByMore;
  return [
    ...members.map(({ group, taxon }) => `${group.name} holds ${withHarm(taxon)}, which nothing rules out.`),
    ...(more === 0 || candidates === 0
      ? []
      : [
          `${count(more, 'other harmful taxon is', 'other harmful taxa are')} ruled out by two observations or more.`,
        ]),
  ];
}

function relianceItems(reliances: readonly Reliance[]): string[] {
  const [only, ...others] = reliances;
  if (only === undefined || others.length > 0) return [];
  const { characters, answers } = only;
  if (characters.length + answers === 0) return [];
  const least = [...characters]
    .filter((c) => c.reliability !== undefined && c.reliability < SURE_ENOUGH)
    .sort((a, b) => (a.reliability ?? 1) - (b.reliability ?? 1));
  return [
    `On ${count(characters.length, 'character')}${answers === 0 ? '' : ` and ${count(answers, 'lead')} judged by eye`}${characters.length === 0 ? '' : `: ${names(characters)}`}.`,
    ...(least.length === 0
      ? []
      : [`Of these, by the key, people most often misread ${names(least.slice(0, MOST_MISREAD))}.`]),
  ];
}

const WHEN: Record<When, string> = {
  now: 'Now',
  tonight: 'Tonight, or after the wait',
  'another age': 'On another specimen',
};

function nextItems(next: Next, decision: Decision): string[] {
  const parting = next.looks.filter((l) => l.pairs > 0);
  // Where nothing separates for certain, show what may at least tell something.
  const shown = parting.length > 0 ? parting.slice(0, MOST_LOOKS) : next.looks.slice(0, 2);
  const items = shown.map(nextCharacterText);
  for (const couplet of next.couplets.slice(0, 3))
    items.push(`By eye: couplet ${coupletName(couplet)}, which names no character.`);
  if (items.length === 0) return [];
  if (decision.moreKeying === 'changes nothing')
    items.unshift('More looks may tell which it is; the verdict stands whatever they show.');
  return items;
}

function nextCharacterText({ character, when, fresh, seen, pairs, outcomes }: NextCharacter): string {
  const time = when === 'another age' ? `${WHEN[when]} (${listed(character.stages, 'or')})` : WHEN[when];
  const how = [
    fresh ? 'while it is fresh' : '',
    when !== 'another age' && character.wait !== undefined ? `takes ${character.wait}` : '',
    seen === 'in vain' ? 'looked at in vain so far' : seen === 'in part' ? 'known in part so far' : '',
    pairs === 0 ? 'may not tell' : '',
  ].filter((t) => t !== '');
  const choices = outcomes.map(({ shows, left }) => `${shows}: ${leftText(left)}`);
  const leaves = character.kind === 'choice' && choices.length > 0 ? `; ${choices.join('; ')}` : '';
  return `${time}: ${character.name}${how.length === 0 ? '' : ` (${how.join(', ')})`}${leaves}.`;
}

function leftText(left: readonly Taxon[]): string {
  return left.length <= 2
    ? listed(
        left.map((t) => t.name),
        'or',
      )
    : `${left.length} taxa`;
}

function specimenItems(study: SpecimenComparison): string[] {
  const { sets, conflicts, nothing, either, unconnected } = study;
  const items: string[] = [];
  if (sets.length > 1) {
    items.push(
      `${sets.length === 2 ? 'Two species in one basket?' : 'Several species in one basket?'} ${sets
        .map((s) => `${listed(s.specimens)}: ${taxaText(s.taxa)}`)
        .join('; ')}.`,
    );
    if (either.length > 0) items.push(`${listed(either)} would suit more than one of these sets.`);
  } else if (sets.length === 1 && nothing.length === 0)
    items.push(`All ${study.specimens.length} may be one taxon: ${taxaText(sets[0]?.taxa ?? [])}.`);
  for (const specimen of nothing) items.push(`${specimen} fits nothing in this key by itself.`);
  for (const { character, shown, varies } of conflicts)
    items.push(
      `They differ in ${character.name} (${shown.map((s) => `${s.specimen}: ${s.value}`).join(', ')})${varies ? ', which a taxon that all may be is described to do' : ''}.`,
    );
  if (unconnected.length > 0)
    items.push(
      `Nothing was seen on both of ${unconnected.map((g) => listed(g)).join(' and ')}: only that they were gathered together says that they are one species.`,
    );
  return items;
}

function taxaText(taxa: readonly Taxon[]): string {
  const worstFirst = [...taxa].sort(
    (a, b) => Number(isHarmful(b.concern.level)) - Number(isHarmful(a.concern.level)),
  );
  return taxa.length > 4 ? `one of ${taxa.length} taxa` : listed(worstFirst.map(withHarm), 'or');
}
