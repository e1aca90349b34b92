import type { Analysis } from '../analysis/analysis.js';
import type { CompiledKey } from '../engine/compile.js';
import { type Determination, nearHarm } from '../engine/determine.js';
import type { Candidate, Warning } from '../engine/outcome.js';
import type { OpenCouplet } from '../engine/session.js';
import { harmless } from '../text/harmless.js';
import { count, listed } from '../text/words.js';
import { wrapLines } from '../text/wrap.js';
import { analysisSections } from './analysis.js';
import { cautions, concernText, verdictText } from './cautions.js';
import { coupletName, type LineStyle } from './couplet.js';
import { shortPath } from './paths.js';
import { furtherOf } from './worst-case.js';

const QUALIFIERS: Record<string, string> = {
  'cf.': 'to be compared: a lead on the way to it is still open',
  'sp.': 'one of several within it, not known which',
  'spp.': 'more than one within it, as it seems',
  'indet.': 'not determined: no one name holds all that is possible',
};

/** Warnings that an analysis explains at more length. */
const SAID_BY_ANALYSIS: readonly string[] = [
  'harmful-near',
  'specimens-disagree',
  'two-species',
  'fits-nothing',
];

/** The result of a keying, for people: name, candidates with their paths, doubts, verdict and cautions. */
export function determinationLines(
  found: Determination,
  open: readonly OpenCouplet[],
  setting: LineStyle,
  centre: string | undefined,
  analysis?: Analysis,
  /** The answers that the person was not sure of. */
  doubted: readonly string[] = [],
): string[] {
  const { width, paint } = setting;
  return [
    ...findingsLines(found, open, setting, analysis),
    ...(doubted.length === 0
      ? []
      : wrapLines(
          harmless(`You were not sure of ${listed(doubted)}: look there again first.`),
          width,
          '',
          '  ',
        )),
    '',
    paint.strong('Cautions'),
    ...cautions(centre).flatMap((text) => wrapLines(harmless(text), width, '  - ', '    ')),
  ];
}

/** The same without the cautions, for several finds with the cautions once below them. */
export function findingsLines(
  found: Determination,
  open: readonly OpenCouplet[],
  setting: LineStyle,
  analysis?: Analysis,
): string[] {
  const { width, paint } = setting;
  const { collection, key, candidates, name, qualifier, verdict } = found;
  const { main } = key.chain;
  const section = (heading: string, lines: readonly string[]): string[] =>
    lines.length === 0 ? [] : ['', ...wrapLines(paint.strong(heading), width), ...lines];
  const item = (text: string): string[] => wrapLines(harmless(text), width, '  - ', '    ');
  // What is possible at worst is named with its reason already.
  const worst = new Set(found.further.map((f) => f.taxon));
  const hidden = nearHarm(found).filter((n) => !worst.has(n.taxon));
  const said = analysis === undefined ? ['harmful-near'] : SAID_BY_ANALYSIS;
  const warnings = found.warnings.filter((w) => !said.includes(w.kind));
  const shout = (text: string) => (verdict.word === 'leave it' ? paint.alarm(text) : paint.strong(text));
  const [word = '', ...reason] = verdictText(verdict, candidates, hidden, furtherOf(found)).split(
    /(?<=^[^.]*\.)/,
  );
  return [
    ...wrapLines(
      `${paint.strong(harmless(collection.id))}, keyed with ${harmless(main.id)} ${harmless(main.version)}`,
      width,
    ),
    ...wrapLines(`Name: ${harmless(name ?? 'none')}`, width, '', '      '),
    ...(qualifier === undefined
      ? []
      : wrapLines(`Qualifier: ${qualifier} (${QUALIFIERS[qualifier] ?? ''})`, width, '', '  ')),
    ...section(
      candidates.length === 1 ? 'Possible' : `Possible: ${count(candidates.length, 'taxon', 'taxa')}`,
      candidates.flatMap((c) => candidateLines(c, key, setting)),
    ),
    ...section(
      'Still open',
      open.flatMap((o) =>
        item(
          `couplet ${coupletName(o.couplet.name)}: ${listed(o.letters, 'or')} (${o.unsure ? 'you could not tell' : 'not asked'})`,
        ),
      ),
    ),
    ...section(
      'One slip away, and harmful',
      // An analysis names them among all that one wrong observation hides.
      analysis === undefined ? hidden.flatMap((n) => nearLines(n, key, setting)) : [],
    ),
    ...section(
      'Nearest ends',
      candidates.length > 0 ? [] : found.near.flatMap((n) => nearLines(n, key, setting)),
    ),
    ...(analysis === undefined ? [] : analysisSections(analysis)).flatMap((s) =>
      section(s.heading, s.items.flatMap(item)),
    ),
    ...section(
      'Bear in mind',
      warnings.flatMap((w: Warning) => item(w.message)),
    ),
    '',
    ...wrapLines(`Verdict: ${shout(word)}${reason.join('')}`, width, '', '  '),
  ];
}

function candidateLines(c: Candidate, key: CompiledKey, { width, paint }: LineStyle): string[] {
  const open = c.open === 0 ? '' : `, ${count(c.open, 'lead')} of it open`;
  const concern = concernText(c.taxon.concern);
  return [
    ...wrapLines(paint.strong(harmless(taxonName(c))), width, '  ', '    '),
    ...wrapLines(
      c.taxon.concern.level === 'deadly' ? paint.alarm(concern) : concern,
      width,
      '    ',
      '      ',
    ),
    ...wrapLines(`path ${shortPath(c.path, key)}${open}`, width, '    ', '      '),
    ...(c.taxon.synonyms.length === 0
      ? []
      : wrapLines(`also called ${harmless(listed(c.taxon.synonyms))}`, width, '    ', '      ')),
  ];
}

function taxonName({ taxon }: Candidate): string {
  return taxon.common.length === 0 ? taxon.name : `${taxon.name} (${taxon.common.join(', ')})`;
}

/** An end that some slips lead to, with what to look at again. */
function nearLines(n: Candidate, key: CompiledKey, { width, paint }: LineStyle): string[] {
  const names = n.recheck.map((id) => key.chain.characters.get(id)?.name ?? id);
  const answers = n.reconsider.length === 0 ? [] : [`your answer ${listed(n.reconsider.map(coupletName))}`];
  const again = listed([...names, ...answers]);
  return [
    ...wrapLines(paint.strong(harmless(taxonName(n))), width, '  ', '    '),
    ...wrapLines(concernText(n.taxon.concern), width, '    ', '      '),
    ...(n.slips === 1 ? [] : wrapLines(`${n.slips} slips away`, width, '    ')),
    ...wrapLines(`look again at: ${harmless(again)}`, width, '    ', '      '),
  ];
}
