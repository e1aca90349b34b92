import { harmlessJson } from '../../lint/report/result.js';
import type { FindingsSetting } from '../../lint/report/text.js';
import type { Rule, RuleGroup } from '../../lint/rule.js';
import { byCodeUnit } from '../../text/words.js';
import { displayWidth, wrapLines } from '../../text/wrap.js';

/** The groups of rules in the order in which they are listed. */
export const GROUPS: readonly RuleGroup[] = [
  'structure',
  'logic',
  'descriptions',
  'wording',
  'terms and names',
  'scope',
  'safety',
  'comments',
  'the file',
];

const HEADINGS: Readonly<Record<RuleGroup, string>> = {
  structure: 'Structure of the key',
  logic: 'Which finds fit which leads',
  descriptions: 'Descriptions of taxa',
  wording: 'Wording of leads',
  'terms and names': 'Terms and names',
  scope: 'Scope and source',
  safety: 'Safety',
  comments: 'Comments and accepted findings',
  'the file': 'The file itself',
};

/** Rules of one group. */
export interface RuleListing {
  readonly heading: string;
  readonly rules: readonly Rule[];
}

/** All rules under their headings, by name. */
export function grouped(rules: readonly Rule[]): RuleListing[] {
  return GROUPS.flatMap((group) => {
    const own = rules.filter((r) => r.group === group).sort((a, b) => byCodeUnit(a.id, b.id));
    return own.length === 0 ? [] : [{ heading: HEADINGS[group], rules: own }];
  });
}

/** How the level of a rule is written: `warning`, `note, off unless set`. */
export function levelWords(rule: Rule): string {
  return rule.optional === true ? `${rule.level}, off unless set` : rule.level;
}

/** Every rule in a line or two, under its heading. */
export function ruleListText(rules: readonly Rule[], { width = 100, paint }: FindingsSetting): string {
  const left = Math.max(...rules.map((r) => r.id.length)) + 2;
  const words = Math.max(...rules.map((r) => r.level.length)) + 2;
  const blocks = grouped(rules).map(({ heading, rules: own }) =>
    [
      paint.strong(heading),
      ...own.flatMap((r) => {
        const text = r.optional === true ? `${r.what} (off unless set)` : r.what;
        const first = `  ${r.id.padEnd(left)}${r.level.padEnd(words)}`;
        if (width >= left + words + 30) return wrapLines(text, width, first);
        return [`  ${r.id}  ${r.level}`, ...wrapLines(text, width, '      ')];
      }),
    ].join('\n'),
  );
  return `${blocks.join('\n\n')}\n`;
}

/** The page of a rule: what, why, source, mend, a key with the fault and one without, and how to set or allow it. */
export function rulePageText(rule: Rule, fixed: boolean, { width = 100, paint }: FindingsSetting): string {
  const part = (name: string, text: string) =>
    wrapLines(text, width, paint.strong(name.padEnd(8)), ' '.repeat(displayWidth(name.padEnd(8))));
  return [
    `${paint.strong(rule.id)} (${levelWords(rule)})`,
    '',
    ...part('What', rule.what),
    ...part('Why', rule.why),
    ...part('Mend', rule.mend),
    ...part('Source', rule.source),
    ...(rule.witness === true ? part('Shows', 'a find with which the fault can be seen') : []),
    '',
    `${paint.strong('Not so')} (#! marks each line on which it is found):`,
    ...indented(rule.bad),
    '',
    paint.strong('But:'),
    ...indented(rule.good),
    '',
    ...(fixed ? wrapLines(FIXED, width) : allowing(rule.id, width)),
    '',
  ].join('\n');
}

const FIXED = 'This cannot be set aside: a key that breaks it cannot be read or run.';

function allowing(id: string, width: number): string[] {
  return [
    ...wrapLines(
      'To let one finding stand, write above its line (or above a whole couplet or taxon):',
      width,
    ),
    `    # allow ${id}: why it may stand`,
    ...wrapLines('To set the rule for a folder of keys, write in its .keywright.yaml:', width),
    `    rules: {${id}: off}   # or note, warning, error`,
  ];
}

function indented(text: string): string[] {
  return text
    .trimEnd()
    .split('\n')
    .map((line) => (line === '' ? '' : `    ${line}`));
}

/** Rules as JSON, for programs. */
export function rulesJson(rules: readonly Rule[], fixed: (id: string) => boolean, one: boolean): string {
  const plain = rules.map((r) => ({
    id: r.id,
    group: r.group,
    level: r.level,
    optional: r.optional === true,
    fixed: fixed(r.id),
    witness: r.witness === true,
    what: r.what,
    why: r.why,
    mend: r.mend,
    source: r.source,
    good: r.good,
    bad: r.bad,
  }));
  return harmlessJson(one ? plain[0] : { version: 1, rules: plain });
}

/** The table of rules for README.md. */
export function rulesTable(rules: readonly Rule[]): string {
  const cell = (text: string) => text.replaceAll('|', '\\|');
  return grouped(rules)
    .map(({ heading, rules: own }) =>
      [
        `**${heading}**`,
        '',
        '| rule | level | what should be true |',
        '| --- | --- | --- |',
        ...own.map((r) => `| \`${r.id}\` | ${levelWords(r)} | ${cell(r.what)} |`),
        '',
      ].join('\n'),
    )
    .join('\n');
}
