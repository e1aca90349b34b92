import type { Analysis } from '../analysis/analysis.js';
import type { CompiledKey } from '../engine/compile.js';
import { type Determination, nearHarm } from '../engine/determine.js';
import type { Candidate, Warning } from '../engine/outcome.js';
import type { OpenCouplet } from '../engine/session.js';
import { harmless } from '../text/harmless.js';
import { count, listed } from '../text/words.js';
import { filled } from '../text/wrap.js';
import { analysisSections } from './analysis.js';
import { cautions, concernText, verdictText } from './cautions.js';
import { coupletName, type LineSetting } from './couplet.js';
import { shortPath } from './paths.js';

const QUALIFIERS: Record<string, string> = {
  'cf.': 'to be compared: a lead on the way to it is still open',
  'sp.': 'one of several within it, not known which',
  'spp.': 'more than one within it, as it seems',
  'indet.': 'not determined: no one name holds all that is possible',
};

/** Warnings whose matter an analysis says at more length. */
const SAID_BY_ANALYSIS: readonly string[] = [
  'harmful-near',
  'specimens-disagree',
  'two-species',
  'fits-nothing',
];

/** What a keying came to, for the person: name, candidates with their paths, doubts, verdict and cautions. */
export function determinationLines(
  found: Determination,
  open: readonly OpenCouplet[],
  setting: LineSetting,
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
      : filled(
          harmless(`You were not sure of ${listed(doubted)}: look there again first.`),
          width,
          '',
          '  ',
        )),
    '',
    paint.strong('Cautions'),
    ...cautions(centre).flatMap((text) => filled(harmless(text), width, '  - ', '    ')),
  ];
}

/** The same without the cautions, for several finds under which they stand once. */
export function findingsLines(
  found: Determination,
  open: readonly OpenCouplet[],
  setting: LineSetting,
  analysis?: Analysis,
): string[] {
  const { width, paint } = setting;
  const { collection, key, candidates, name, qualifier, verdict } = found;
  const { main } = key.chain;
  const section = (heading: string, lines: readonly string[]): string[] =>
    lines.length === 0 ? [] : ['', ...filled(paint.strong(heading), width), ...lines];
  const item = (text: string): string[] => filled(harmless(text), width, '  - ', '    ');
  const hidden = nearHarm(found);
  const said = analysis === undefined ? ['harmful-near'] : SAID_BY_ANALYSIS;
  const warnings = found.warnings.filter((w) => !said.includes(w.kind));
  const shout = (text: string) => (verdict.word === 'leave it' ? paint.alarm(text) : paint.strong(text));
  const [word = '', ...reason] = verdictText(verdict, candidates, hidden).split(/(?<=^[^.]*\.)/);
  return [
    ...filled(
      `${paint.strong(harmless(collection.id))}, keyed with ${harmless(main.id)} ${harmless(main.version)}`,
      width,
    ),
    ...filled(`Name: ${harmless(name ?? 'none')}`, width, '', '      '),
    ...(qualifier === undefined
      ? []
      : filled(`Qualifier: ${qualifier} (${QUALIFIERS[qualifier] ?? ''})`, width, '', '  ')),
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
      // An analysis names them with all else that one wrong observation hides.
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
    ...filled(`Verdict: ${shout(word)}${reason.join('')}`, width, '', '  '),
  ];
}

function candidateLines(c: Candidate, key: CompiledKey, { width, paint }: LineSetting): string[] {
  const open = c.open === 0 ? '' : `, ${count(c.open, 'lead')} of it open`;
  const concern = concernText(c.taxon.concern);
  return [
    ...filled(paint.strong(harmless(taxonName(c))), width, '  ', '    '),
    ...filled(c.taxon.concern.level === 'deadly' ? paint.alarm(concern) : concern, width, '    ', '      '),
    ...filled(`path ${shortPath(c.path, key)}${open}`, width, '    ', '      '),
    ...(c.taxon.synonyms.length === 0
      ? []
      : filled(`also called ${harmless(listed(c.taxon.synonyms))}`, width, '    ', '      ')),
  ];
}

function taxonName({ taxon }: Candidate): string {
  return taxon.common.length === 0 ? taxon.name : `${taxon.name} (${taxon.common.join(', ')})`;
}

/** An end that some slips lead to, with what to look at again. */
function nearLines(n: Candidate, key: CompiledKey, { width, paint }: LineSetting): string[] {
  const names = n.recheck.map((id) => key.chain.characters.get(id)?.name ?? id);
  const answers = n.reconsider.length === 0 ? [] : [`your answer ${listed(n.reconsider.map(coupletName))}`];
  const again = listed([...names, ...answers]);
  return [
    ...filled(paint.strong(harmless(taxonName(n))), width, '  ', '    '),
    ...filled(concernText(n.taxon.concern), width, '    ', '      '),
    ...(n.slips === 1 ? [] : filled(`${n.slips} slips away`, width, '    ')),
    ...filled(`look again at: ${harmless(again)}`, width, '    ', '      '),
  ];
}
