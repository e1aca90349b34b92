import { withAllowances } from '../commands/draft/allowances.js';
import { draftKey as draft, type Preference, STANDARD } from '../commands/draft/draft.js';
import { formOf } from '../commands/draft/form.js';
import { readTaxaTable } from '../commands/draft/table.js';
import { type Imported, importText, type Layout } from '../commands/import/print.js';
import { readChecklist } from '../commands/trim/checklist.js';
import { trimKey as trim } from '../commands/trim/trim.js';
import { Failure } from '../diagnostic/failure.js';
import { type Finding, hasErrors } from '../diagnostic/finding.js';
import { compile } from '../engine/compile.js';
import { loadChain } from '../key/chain.js';
import { emptyShelf, type Shelf } from '../key/load.js';
import { type AllowedFinding, lintKey as lint, type NotRun } from '../lint/lint.js';
import { rules } from '../lint/rules/index.js';
import { KnownRules, readSetting, type Setting } from '../lint/settings.js';
import { defined } from '../text/optional.js';
import { slug } from '../text/slug.js';
import { changesSomething, diffKeys as diffChains, type Reworded } from '../versions/diff.js';
import { compiledOf, type Key, type Taxon, type TextOptions } from './key.js';

/** How a key is checked. */
export interface LintOptions extends TextOptions {
  /** By id of a rule, another level than its own. */
  readonly levels?: Readonly<Record<string, Setting>>;
}

/** What a check found. */
export interface Linted {
  /** In the order of the text; empty where nothing is wrong. */
  readonly findings: readonly Finding[];
  /** What comments in the file allow, with their reasons. */
  readonly allowed: readonly AllowedFinding[];
  /** Rules that could not be run, and why. */
  readonly notRun: readonly NotRun[];
}

/** Checks a key, and the keys it continues in, by all rules. Throws a Failure for a rule or level that does not exist. */
export function lintKey(text: string, options: LintOptions = {}): Linted {
  const known = new KnownRules(rules);
  const settings = new Map(
    Object.entries(options.levels ?? {}).map(([rule, level]) => {
      const read = readSetting(`${rule}=${level}`, known);
      if (typeof read === 'string') throw new Failure(read);
      return read;
    }),
  );
  const { shelf = emptyShelf, file = 'key.yaml' } = options;
  const { findings, allowed, notRun } = lint(text, file, { shelf, settings: () => settings });
  return { findings, allowed, notRun };
}

/** How a printed key is read. */
export interface ImportOptions {
  /** What the text is called in findings. Default `print.txt`. */
  readonly file?: string;
  /** How the print is laid out. Default: found out from the text. */
  readonly layout?: Layout;
  /** Of the key. Default: made from the title. */
  readonly id?: string;
  /** Of the key. Default: the heading. */
  readonly title?: string;
  /** The source in words. Default: none is named. */
  readonly cite?: string;
  /** A language tag such as `en`. Default: found out from the text. */
  readonly language?: string;
  /** Whether conditions are proposed. Default true. */
  readonly when?: boolean;
  /** Whether all keys of the text are joined into one. Default false. */
  readonly asOne?: boolean;
}

/** Turns the plain text of one or several printed keys into key files; no keys where the text holds none. */
export function importKeys(text: string, options: ImportOptions = {}): Imported {
  return importText(text, { ...options, file: options.file ?? 'print.txt' });
}

/** A file of terms as text. */
export interface TermsText {
  /** Its name in findings. */
  readonly file: string;
  /** The whole of it. */
  readonly text: string;
}

/** How a key is drafted, and what its head says. */
export interface DraftOptions {
  /** The day of the draft, as `2026-10-18`. */
  readonly date: string;
  /** The name of the table in findings; its ending tells how it is written. Default `taxa.yaml` or by how it begins. */
  readonly file?: string;
  /** Where the terms that the table uses are looked up. Default: nowhere. */
  readonly shelf?: Shelf;
  /** A file of terms with the characters of a table of cells. */
  readonly characters?: TermsText;
  /** The head of the key, where the table does not give it itself. Default `draft`. */
  readonly id?: string;
  /** Default `Key to` and the group. */
  readonly title?: string;
  /** Who answers for it; left out where not told. */
  readonly author?: string;
  /** For which organisms it is. */
  readonly group?: string;
  /** Codes such as `GB-CMA`. Default none. */
  readonly regions?: readonly string[];
  /** By what couplets are chosen, the first first. Default effort, then reliability. */
  readonly prefer?: readonly Preference[];
  /** How many couplets ahead are considered when one is chosen. Default 1. */
  readonly lookAhead?: number;
  /** The most leads a couplet may have. Default 2. */
  readonly mostLeads?: number;
  /** The most couplets there may be. Default ten a taxon. */
  readonly mostCouplets?: number;
  /** The version of the program, for the first line. Default `(library)`. */
  readonly by?: string;
}

/** What was drafted from a table of described taxa. */
export interface Drafted {
  /** The text of the key; undefined where the table has errors, or nothing in it separates its taxa. */
  readonly text: string | undefined;
  /** What is wrong with the table. */
  readonly findings: readonly Finding[];
  /** What a reader of the key should know, in sentences. */
  readonly remarks: readonly string[];
}

/** Drafts a key from a table of described taxa (YAML, CSV or TSV). It is a good key, not the best there is. */
export function draftKey(text: string, options: DraftOptions): Drafted {
  const { file = 'taxa', shelf = emptyShelf, characters, date, id = 'draft', group } = options;
  const { prefer = STANDARD, lookAhead = 1, mostLeads = 2, mostCouplets, by = '(library)' } = options;
  const read = readTaxaTable({ file, text }, formOf(file, text), shelf, characters);
  const { drafted, findings, remarks } = draft(read, {
    prefer,
    lookAhead,
    mostLeads,
    ...defined({ mostCouplets }),
    by,
    head: {
      id,
      title: options.title ?? `Key to ${group ?? 'the taxa'}`,
      date,
      regions: options.regions ?? [],
      ...defined({ group, author: options.author }),
    },
  });
  const key = drafted === undefined ? undefined : withAllowances(drafted.text, drafted.account.astray);
  return { text: key, findings, remarks };
}

/** How a key is trimmed. */
export interface TrimOptions extends TextOptions {
  /** The day of trimming, as `2026-10-18`. */
  readonly date: string;
  /** What the list is called; its ending tells how it is written. Default `list`. */
  readonly list?: string;
  /** The id of the trimmed key. Default: that of the key and the name of the list. */
  readonly id?: string;
  /** Default: that of the key, and to what it was trimmed. */
  readonly title?: string;
  /** Keep the numbers of couplets. Default false. */
  readonly keepNumbers?: boolean;
  /** Keep characters, terms and sources that are no longer used. Default false. */
  readonly keepUnused?: boolean;
  /** Leave out harmful look-alikes that are not on the list. Default false: they stay. */
  readonly dropHarmful?: boolean;
}

/** A taxon that was left out, and what its finds are called in the trimmed key. */
export interface Astray {
  /** The taxon that was left out. */
  readonly taxon: Taxon;
  /** The taxa whose names its finds get. */
  readonly as: readonly Taxon[];
  /** The taxa whose names its finds may get. */
  readonly maybe: readonly Taxon[];
}

/** A name on the list that the key does not know. */
export interface UnknownName {
  /** Where it stands in the list, from 1. */
  readonly line: number;
  /** As it is written there. */
  readonly written: string;
  /** The name that the key knows and that looks most alike; undefined where none does. */
  readonly nearest: string | undefined;
}

/** A name on the list that may mean several taxa, all of which are kept. */
export interface UnclearName {
  /** Where it stands in the list, from 1. */
  readonly line: number;
  /** As it is written there. */
  readonly written: string;
  /** What it may mean. */
  readonly mayBe: readonly Taxon[];
}

/** A trimmed key, and what to bear in mind about it. */
export interface Trimmed {
  /** The text of the trimmed key; undefined where the key or the list has errors, or no name of the list is known. */
  readonly text: string | undefined;
  /** What is wrong with the key or the list. */
  readonly findings: readonly Finding[];
  /** The taxa that the trimmed key ends at. */
  readonly kept: readonly Taxon[];
  /** The taxa that it no longer ends at, the most harmful first. */
  readonly gone: readonly Taxon[];
  /** Harmful look-alikes that stay though they are not on the list. */
  readonly harmfulKept: readonly Taxon[];
  /** The taxa left out whose finds get, or may get, the name of another; empty where there are none. */
  readonly astray: readonly Astray[];
  /** Names of the list that the key does not know; empty where it knows all. */
  readonly unknownNames: readonly UnknownName[];
  /** Names that may mean several taxa; empty where there are none. */
  readonly unclearNames: readonly UnclearName[];
}

/**
 * Trims the text of a key to the taxa of a list (names by line, or a table with a column of names). Finds of taxa that are
 * left out may get a wrong name in the trimmed key: show `astray`. Throws a Failure when fewer than two ends would be left.
 */
export function trimKey(text: string, list: string, options: TrimOptions): Trimmed {
  const { file = 'key.yaml', shelf = emptyShelf, list: listName = 'list' } = options;
  const { chain, findings } = loadChain(text, file, shelf);
  const names = readChecklist(list, listName);
  const wrong = [...findings.filter((f) => f.level === 'error'), ...names.findings];
  if (chain === undefined || hasErrors(wrong) || names.findings.length > 0)
    return { ...NOTHING_TRIMMED, findings: [...findings, ...names.findings] };
  const stem = listName.replace(/\.[^.]*$/, '');
  const { main } = chain;
  const { trimmed, list: understood } = trim(text, compile(chain), names, shelf, {
    list: listName,
    id: options.id ?? (slug(`${main.id}-${stem}`) || main.id),
    title: options.title ?? `${main.title}, trimmed to ${stem}`,
    date: options.date,
    keepNumbers: options.keepNumbers === true,
    keepUnused: options.keepUnused === true,
    dropHarmful: options.dropHarmful === true,
  });
  return {
    text: trimmed?.text,
    findings,
    kept: trimmed?.ends ?? [],
    gone: trimmed?.gone ?? [],
    harmfulKept: (trimmed?.stayed ?? []).map((l) => l.taxon),
    astray: (trimmed?.astray ?? []).map(({ taxon, as, maybe }) => ({ taxon, as, maybe })),
    unknownNames: understood.strange.map(({ name: { line, written }, nearest }) => ({
      line,
      written,
      nearest,
    })),
    unclearNames: understood.unclear.map(({ name: { line, written }, taxa }) => ({
      line,
      written,
      mayBe: taxa,
    })),
  };
}

const NOTHING_TRIMMED: Omit<Trimmed, 'findings'> = {
  text: undefined,
  kept: [],
  gone: [],
  harmfulKept: [],
  astray: [],
  unknownNames: [],
  unclearNames: [],
};

/** A taxon in two versions of a key. */
export interface TaxonChange {
  /** As the earlier version has it. */
  readonly was: Taxon;
  /** As the later version has it. */
  readonly is: Taxon;
}

/** Finds that end elsewhere in the later version. */
export interface MovedFinds {
  /** The taxa that they ended at; empty where they fitted nothing. */
  readonly was: readonly Taxon[];
  /** The taxa that they end at; empty where they fit nothing. */
  readonly is: readonly Taxon[];
}

/** A taxon that is described differently. */
export interface DescriptionChange extends TaxonChange {
  /** The ids of the characters that differ. */
  readonly characters: readonly string[];
}

/** A taxon that is keyed out by other characters, or in more or fewer steps. */
export interface PathChange extends TaxonChange {
  /** The names of characters that are newly asked on the ways to it. */
  readonly nowAsked: readonly string[];
  /** The names of characters that are no longer asked there. */
  readonly noLonger: readonly string[];
  /** The fewest couplets to it, in the earlier and in the later version. */
  readonly steps: readonly [was: number, is: number];
}

/** A statement of what the key is made for that has changed. */
export interface ScopeChange {
  /** Which one. */
  readonly what: 'group' | 'regions' | 'months' | 'stages' | 'complete' | 'within' | 'note';
  /** In words; empty where nothing was stated. */
  readonly was: string;
  /** In words; empty where nothing is stated. */
  readonly is: string;
}

/** A character that both versions have and that has changed. */
export interface CharacterChange {
  /** Its id in the later version. */
  readonly id: string;
  /** In words. */
  readonly name: string;
  /** What has changed, in sentences. */
  readonly what: readonly string[];
}

/** Leads that have gained or lost their conditions while their words stayed the same, by their labels in the later version. */
export interface ConditionChanges {
  /** Now have a condition and had none. */
  readonly gained: readonly string[];
  /** Had a condition and have none. */
  readonly lost: readonly string[];
}

/** What differs between two versions of a key; every list is empty where nothing does. */
export interface KeyChanges {
  /** Whether anything has changed that matters to people who key finds: more than words, numbers and the order in the file. */
  readonly changed: boolean;
  /** Taxa whose recorded concern has changed. */
  readonly concerns: readonly TaxonChange[];
  /** Only in the later version. */
  readonly added: readonly Taxon[];
  /** Only in the earlier version. */
  readonly gone: readonly Taxon[];
  /** The same taxon under another id or name. */
  readonly renamed: readonly TaxonChange[];
  /** Kinds of finds that end elsewhere now. */
  readonly finds: readonly MovedFinds[];
  /** Taxa about whose finds it was not decided within the limit of work. */
  readonly undecided: readonly Taxon[];
  /** Taxa that are keyed out in another way, harmful ones first. */
  readonly paths: readonly PathChange[];
  /** What the key is made for. */
  readonly scope: readonly ScopeChange[];
  /** Characters that both versions have, changed. */
  readonly characters: readonly CharacterChange[];
  /** The ids of characters that only the later version has. */
  readonly charactersAdded: readonly string[];
  /** The ids of characters that only the earlier version has. */
  readonly charactersGone: readonly string[];
  /** Taxa that are described differently. */
  readonly described: readonly DescriptionChange[];
  /** Taxa whose legal statuses have changed. */
  readonly duties: readonly TaxonChange[];
  /** Leads that have gained or lost their conditions. */
  readonly conditions: ConditionChanges;
  /** Leads that only their words decide, and whose words have changed. */
  readonly wordsThatDecide: readonly Reworded[];
  /** All other texts that have changed. */
  readonly words: readonly Reworded[];
}

/** Compares two versions of a key, each with the keys that it continues in. */
export function diffKeys(before: Key, after: Key): KeyChanges {
  const diff = diffChains(compiledOf(before).chain, compiledOf(after).chain);
  const { concerns, added, gone, renamed, finds, paths, scope, characters, described, duties, joint } = diff;
  return {
    changed: changesSomething(diff),
    concerns,
    added,
    gone,
    renamed,
    finds: finds.moved.map(({ was, is }) => ({ was, is })),
    undecided: finds.undecided,
    paths,
    scope,
    characters,
    charactersAdded: diff.charactersAdded.map((c) => c.id),
    charactersGone: diff.charactersGone.map((c) => c.id),
    described,
    duties,
    conditions: joint.coded,
    wordsThatDecide: diff.wordsThatDecide,
    words: diff.words,
  };
}
