import { compareFindings, type Finding, type Place } from '../diagnostic/finding.js';
import { keyReader, type LoadedChain, loadChain } from '../key/chain.js';
import type { YamlText } from '../key/document.js';
import type { Key } from '../key/key.js';
import { emptyShelf, loadTerms, type Shelf } from '../key/load.js';
import { renumberFix } from '../key/renumber.js';
import { harmless } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import { type Allowance, type Allowances, covers, readAllowances } from './allow.js';
import { type Planned, runRules } from './context.js';
import { withSpellingFix } from './near-miss.js';
import { isPartial, misshapen } from './partial.js';
import type { Rule, RuleContext } from './rule.js';
import { rules as everyRule } from './rules/index.js';
import { markOf, withoutCrowds } from './sameness.js';
import { KnownRules, levelOf, type Settings } from './settings.js';

/** One file to be checked: a key, or shared terms when its name ends so. */
export interface LintInput {
  readonly file: string;
  readonly text: string;
}

export interface LintOptions {
  /** Where chained keys and terms are looked up; without one, keys stand alone. */
  readonly shelf?: Shelf;
  /** The levels set for a file. */
  readonly settings?: (file: string) => Settings;
  readonly rules?: readonly Rule[];
  /** Why a figure that a file names cannot be used; undefined when it can. Without this, figures are not looked for. */
  readonly lacking?: RuleContext['lacking'];
}

/** A finding that a comment in the file allows. */
export interface AllowedFinding {
  /** What was found. */
  readonly finding: Finding;
  /** As the comment gives it. */
  readonly reason: string;
}

/** Rules that could not be run over a file, and why. */
export interface NotRun {
  /** The name of the text. */
  readonly file: string;
  /** Their ids. */
  readonly rules: readonly string[];
  /** One sentence. */
  readonly because: string;
}

/** Everything that was found in some files and the keys they continue in. */
export interface LintReport {
  /** The files that were asked for, in the order given. */
  readonly files: readonly string[];
  /** In the one order of findings. */
  readonly findings: readonly Finding[];
  readonly allowed: readonly AllowedFinding[];
  readonly notRun: readonly NotRun[];
  /** Those findings with which a key cannot be read or run: no comment and no list of accepted findings may set them aside. */
  readonly binding: ReadonlySet<Finding>;
  /** Every key that was read, by file; what could not be read is missing. */
  readonly keys: ReadonlyMap<string, Key>;
  /** The text of every key that was opened, by file. */
  readonly texts: ReadonlyMap<string, YamlText>;
}

const TERMS_ENDING = '.terms.yaml';
const NO_SETTINGS: Settings = new Map();
/** The rules whose findings are fixed by renumbering the couplets. */
const NUMBERING: ReadonlySet<string> = new Set(['order-forward', 'pointer-forward']);

/** Checks one key with the keys it continues in. */
export function lintKey(text: string, file: string, options: LintOptions = {}): LintReport {
  return lintAll([{ file, text }], options);
}

/** Checks several files together: each with the keys it continues in, what is found twice only once. */
export function lintAll(inputs: readonly LintInput[], options: LintOptions = {}): LintReport {
  const shelf = options.shelf ?? emptyShelf;
  const run = new LintRun(
    shelf,
    options.rules ?? everyRule,
    options.settings ?? (() => NO_SETTINGS),
    options.lacking,
  );
  for (const input of inputs) run.add(input);
  return run.report(inputs.map((i) => i.file));
}

class LintRun {
  readonly #known: KnownRules;
  readonly #read: ReturnType<typeof keyReader>;
  readonly #findings = new Map<string, Finding>();
  readonly #loaderFindings = new Set<Finding>();
  readonly #notRun: NotRun[] = [];
  readonly #keys = new Map<string, Key>();
  readonly #texts = new Map<string, YamlText>();
  readonly #renumbered = new Map<Key, Finding['fix']>();
  /** By file: the rules that were run with it as the main key. */
  readonly #ran = new Map<string, ReadonlySet<string>>();

  constructor(
    readonly shelf: Shelf,
    readonly rules: readonly Rule[],
    readonly settings: (file: string) => Settings,
    readonly lacking: RuleContext['lacking'] | undefined,
  ) {
    this.#known = new KnownRules(rules);
    this.#read = keyReader(shelf, 'written');
  }

  add({ file, text }: LintInput): void {
    if (file.endsWith(TERMS_ENDING)) {
      const { findings } = loadTerms(text, file);
      this.#addLoaderFindings(findings, undefined);
      return;
    }
    const loaded = loadChain(text, file, this.shelf, { read: this.#read, tolerate: isPartial });
    for (const { key, yaml } of loaded.loaded) {
      this.#texts.set(yaml.file, yaml);
      if (key !== undefined) this.#keys.set(yaml.file, key);
    }
    this.#addLoaderFindings(loaded.findings, loaded);
    this.#runRules(file, loaded);
  }

  report(files: readonly string[]): LintReport {
    const allowances = new Map<string, Allowances>();
    for (const [file, yaml] of this.#texts) allowances.set(file, readAllowances(yaml, this.#known));
    const used = new Map<Allowance, Set<string>>();
    const left: Finding[] = [];
    const binding = new Set<Finding>();
    const allowed: AllowedFinding[] = [];
    for (const finding of this.#findings.values()) {
      const level = this.#levelIn(finding);
      if (level === undefined) continue;
      if (this.#loaderFindings.has(finding)) {
        left.push(finding);
        binding.add(finding);
        continue;
      }
      const allowance = allowances.get(finding.place.file)?.all.find((a) => covers(a, finding));
      if (allowance === undefined) {
        left.push({ ...finding, level, ...this.#renumbering(finding) });
        continue;
      }
      used.set(allowance, (used.get(allowance) ?? new Set()).add(finding.rule));
      allowed.push({ finding: { ...finding, level }, reason: allowance.reason });
    }
    for (const file of new Set(files)) {
      const { all, findings } = allowances.get(file) ?? { all: [], findings: [] };
      left.push(...this.#own(file, [...findings, ...this.#unused(file, all, used)]));
    }
    return {
      files,
      findings: withoutCrowds(left.sort(compareFindings)),
      allowed: allowed.sort((a, b) => compareFindings(a.finding, b.finding)),
      notRun: this.#notRun,
      binding,
      keys: this.#keys,
      texts: this.#texts,
    };
  }

  #addLoaderFindings(findings: readonly Finding[], loaded: LoadedChain | undefined): void {
    for (const finding of findings) {
      const key = loaded?.loaded.find((l) => l.yaml.file === finding.place.file)?.key;
      const offered = key === undefined ? finding : withSpellingFix(finding, key);
      if (this.#add(offered)) this.#loaderFindings.add(offered);
    }
  }

  #runRules(file: string, loaded: LoadedChain): void {
    const settings = this.settings(file);
    const planned = this.rules.flatMap((rule): Planned[] => {
      if (rule.check === undefined || levelOf(rule, settings) === undefined) return [];
      // What the levels of a finding's own file are is settled when all is known.
      return [{ rule, level: undefined }];
    });
    const key = loaded.loaded[0]?.key;
    const obstacle = key === undefined ? loaded.findings[0] : misshapen(file, loaded.findings);
    if (key === undefined || obstacle !== undefined) {
      this.#couldNot(
        file,
        planned.map((p) => p.rule.id),
        obstacle,
      );
      this.#ran.set(file, new Set());
      return;
    }
    const { findings, notRun } = runRules(key, loaded.chain, planned, this.lacking);
    const wrong = new Set(
      loaded.findings.filter((f) => f.level === 'error').map(({ place }) => placed(place)),
    );
    for (const finding of findings) if (!follows(finding, wrong)) this.#add(finding);
    this.#couldNot(
      file,
      notRun,
      loaded.findings.find((f) => f.level === 'error'),
    );
    this.#ran.set(file, new Set(planned.map((p) => p.rule.id).filter((id) => !notRun.includes(id))));
  }

  #couldNot(file: string, rules: readonly string[], obstacle: Finding | undefined): void {
    if (rules.length === 0) return;
    const because =
      obstacle === undefined
        ? 'the key has no couplets'
        : `${obstacle.message} (${obstacle.place.file}:${obstacle.place.start.line})`;
    this.#notRun.push({ file, rules, because: harmless(because) });
  }

  #add(finding: Finding): boolean {
    const mark = markOf(finding, this.#keys);
    if (this.#findings.has(mark)) return false;
    this.#findings.set(mark, finding);
    return true;
  }

  /** The fix of numbers that are out of order, unless another key continues at one of them. */
  #renumbering({ rule, place }: Finding): Pick<Finding, 'fix'> {
    const key = this.#keys.get(place.file);
    if (!NUMBERING.has(rule) || key === undefined) return {};
    if (!this.#renumbered.has(key)) {
      const entered = [...this.#keys.values()].some((k) => goesOnAt(k, key));
      this.#renumbered.set(key, entered ? undefined : renumberFix(key));
    }
    const fix = this.#renumbered.get(key);
    return defined({ fix });
  }

  /** The level of a finding by the settings of the file it is in; undefined when its rule is off there. */
  #levelIn(finding: Finding): Finding['level'] | undefined {
    if (this.#loaderFindings.has(finding)) return finding.level;
    const rule = this.#known.get(finding.rule);
    const settings = this.settings(finding.place.file);
    if (rule === undefined || !settings.has(rule.id)) return finding.level;
    return levelOf(rule, settings);
  }

  /** What lint says of comments, at the level that is set for it. */
  #own(file: string, findings: readonly Finding[]): Finding[] {
    return findings.flatMap((finding) => {
      const rule = this.#known.get(finding.rule);
      const level = rule === undefined ? finding.level : levelOf(rule, this.settings(file));
      return level === undefined ? [] : [{ ...finding, level }];
    });
  }

  #unused(
    file: string,
    allowances: readonly Allowance[],
    used: ReadonlyMap<Allowance, ReadonlySet<string>>,
  ): Finding[] {
    // Where something is wrong, what would break a rule may only not have been judged.
    const unsound = [...this.#loaderFindings].some((f) => f.level === 'error' && f.place.file === file);
    const ran = unsound ? new Set() : (this.#ran.get(file) ?? new Set());
    return allowances.flatMap((allowance) => {
      const idle = allowance.rules.filter((rule) => ran.has(rule) && !used.get(allowance)?.has(rule));
      return idle.map(
        (rule): Finding => ({
          rule: 'allow-used',
          level: 'warning',
          message: `nothing here breaks ${rule}, so there is nothing to allow; this can go`,
          place: allowance.place,
          found: rule,
        }),
      );
    });
  }
}

/**
 * Whether a finding is of a thing that an error is about, or of a part of it: a rule then speaks of something that is not as
 * it was meant.
 */
function follows({ place }: Finding, wrong: ReadonlySet<string>): boolean {
  const { path } = place;
  for (let n = path.length; n > 1; n--)
    if (wrong.has(placed({ ...place, path: path.slice(0, n) }))) return true;
  return false;
}

function placed({ file, path }: Place): string {
  return [file, ...path].join('\0');
}

/** Whether a key continues in another one at a couplet that it names. */
function goesOnAt(key: Key, other: Key): boolean {
  const named = (reference: string) => reference === other.id || other.file.endsWith(reference);
  return [...key.couplets.values()].some((c) =>
    c.leads.some(({ end }) => end.kind === 'key' && end.at !== undefined && named(end.key)),
  );
}
