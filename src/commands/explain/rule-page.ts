import { wholeText } from '../../lint/example.js';
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
interface RuleListing {
  readonly heading: string;
  readonly rules: readonly Rule[];
}

/** All rules under their headings, by name. */
function grouped(rules: readonly Rule[]): RuleListing[] {
  return GROUPS.flatMap((group) => {
    const own = rules.filter((r) => r.group === group).sort((a, b) => byCodeUnit(a.id, b.id));
    return own.length === 0 ? [] : [{ heading: HEADINGS[group], rules: own }];
  });
}

/** How the level of a rule is written: `warning`, `note, off unless set`. */
function levelWords(rule: Rule): string {
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

/** The page of a rule: what, why, fix, source, an example with the fault and one without, and how to set or allow it. */
export function rulePageText(rule: Rule, binding: boolean, { width = 100, paint }: FindingsSetting): string {
  const part = (name: string, text: string) =>
    wrapLines(text, width, paint.strong(name.padEnd(8)), ' '.repeat(displayWidth(name.padEnd(8))));
  return [
    `${paint.strong(rule.id)} (${levelWords(rule)})`,
    '',
    ...part('What', rule.what),
    ...part('Why', rule.why),
    ...part('Fix', rule.fix),
    ...part('Source', rule.source),
    ...(rule.witness === true ? part('Shows', 'a find with which the fault can be seen') : []),
    '',
    `${paint.strong('Not so')} (the part of a key that matters; #! marks each line on which it is found):`,
    ...indented(rule.bad.part),
    '',
    paint.strong('But:'),
    ...indented(rule.good.part),
    '',
    ...(binding ? wrapLines(BINDING, width) : allowing(rule.id, width)),
    '',
  ].join('\n');
}

const BINDING = 'This cannot be set aside: a key that breaks it cannot be read or run.';

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

/** A rule for programs, without its check. */
export function plainRule(rule: Rule, binding: boolean) {
  return {
    id: rule.id,
    group: rule.group,
    level: rule.level,
    optional: rule.optional === true,
    binding,
    witness: rule.witness === true,
    what: rule.what,
    why: rule.why,
    fix: rule.fix,
    source: rule.source,
    good: wholeText(rule.good),
    bad: wholeText(rule.bad),
  };
}

/** The table of rules, in Markdown, for the paper beside them. */
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
