import type { Finding, Level } from '../diagnostic/finding.js';
import { readYaml } from '../key/document.js';
import { asEntries, asMap, Reporter } from '../key/fields.js';
import { checkShape } from '../key/load.js';
import { validateLintConfig } from '../key/validate.generated.js';
import { harmless } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import type { Rule } from './rule.js';

/** The name of the file in which a folder sets the levels of rules. */
export const CONFIG_NAME = '.keywright.yaml';

/** What a rule can be set to. */
const settingWords = ['off', 'note', 'warning', 'error'] as const;
/** One of the words that a rule can be set to. */
export type Setting = (typeof settingWords)[number];

/** Rules that are set to something else than their own level. */
export type Settings = ReadonlyMap<string, Setting>;

/** The rules that there are, as far as settings and comments may name them. */
export class KnownRules {
  readonly #byId: ReadonlyMap<string, Rule>;

  constructor(readonly all: readonly Rule[]) {
    this.#byId = new Map(all.map((r) => [r.id, r]));
  }

  get(id: string): Rule | undefined {
    return this.#byId.get(id);
  }

  /** The rule that was probably meant. */
  nearest(id: string): string | undefined {
    return nearest(id, this.#byId.keys());
  }

  /** Whether a rule is kept by reading the key itself: without it the key cannot be run. */
  binding(id: string): boolean {
    const rule = this.#byId.get(id);
    return rule !== undefined && rule.check === undefined && !OWN.has(id);
  }

  /** What is wrong with setting or allowing a rule; undefined when nothing is. */
  problem(id: string): string | undefined {
    if (this.#byId.get(id) === undefined) {
      const near = this.nearest(id);
      return `there is no rule ${harmless(id)}${near === undefined ? '' : `; did you mean ${near}?`}`;
    }
    if (!this.binding(id)) return undefined;
    return `${id} cannot be set aside: a key that breaks it cannot be read or run`;
  }
}

/** What lint itself says of comments and lists of accepted findings; these can be set like rules with a check. */
const OWN: ReadonlySet<string> = new Set(['allow-used', 'allow-reason', 'baseline-used']);

/** Reads a file that sets the levels of rules; what is wrong with it is found at its place. */
export function readSettings(
  text: string,
  file: string,
  known: KnownRules,
): { readonly settings: Settings; readonly findings: readonly Finding[] } {
  const yaml = readYaml(text, file);
  const report = new Reporter(yaml);
  report.findings.push(...yaml.findings);
  const settings = new Map<string, Setting>();
  if (yaml.data !== undefined && yaml.data !== null) {
    checkShape(yaml, validateLintConfig, 'lint-config', report);
    for (const [id, word] of asEntries(asMap(yaml.data).rules)) {
      const problem = known.problem(id);
      if (problem !== undefined) {
        const near = known.nearest(id);
        report.add('rule-known', problem, ['rules', id], {
          side: 'name',
          found: id,
          expected: near ?? 'the id of a rule',
          nearest: known.get(id) === undefined ? near : undefined,
        });
      } else if (isSetting(word)) settings.set(id, word);
    }
  }
  return { settings, findings: report.findings };
}

/** Reads `RULE=LEVEL`; the text is what is wrong with it. */
export function readSetting(text: string, known: KnownRules): readonly [string, Setting] | string {
  const [, id = '', word = ''] = /^([^=]*)=(.*)$/.exec(text) ?? [];
  if (id === '' || word === '')
    return `'${text}' sets nothing; it takes RULE=LEVEL, such as leads-parallel=off`;
  const problem = known.problem(id);
  if (problem !== undefined) return problem;
  if (isSetting(word)) return [id, word];
  const near = nearest(word, settingWords);
  return `${id} is off, note, warning or error, not '${word}'${near === undefined ? '' : ` (did you mean ${near}?)`}`;
}

function isSetting(word: unknown): word is Setting {
  return settingWords.includes(word as Setting);
}

/** The level at which a rule is checked; undefined when it is off. */
export function levelOf(rule: Rule, settings: Settings): Level | undefined {
  const setting = settings.get(rule.id);
  if (setting === undefined) return rule.optional ? undefined : rule.level;
  return setting === 'off' ? undefined : setting;
}
