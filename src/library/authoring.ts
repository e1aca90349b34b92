import { changesSomething, diffKeys as diffChains, type Reworded } from '../commands/diff/diff.js';
import { withAllowances } from '../commands/draft/allowances.js';
import { draftKey as draft, type Preference, STANDARD } from '../commands/draft/draft.js';
import { formOf } from '../commands/draft/form.js';
import { readTaxaTable } from '../commands/draft/table.js';
import { type Imported, type ImportOptions as ImportSetting, importText } from '../commands/import/print.js';
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

/** Checks a key, with the keys it goes on in, by all rules. Throws a Failure for a level of a rule that there is not. */
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
export interface ImportOptions extends Omit<ImportSetting, 'file'> {
  /** What the text is called in findings. Default `print.txt`. */
  readonly file?: string;
}

/** Turns the plain text of one or several printed keys into key files; no keys where the text holds none. */
export function importKeys(text: string, options: ImportOptions = {}): Imported {
  return importText(text, { ...options, file: options.file ?? 'print.txt' });
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
  readonly characters?: { readonly file: string; readonly text: string };
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
  /** How many couplets further a choice is thought through. Default 1. */
  readonly lookAhead?: number;
  /** The most leads a couplet may have. Default 2. */
  readonly mostLeads?: number;
  /** The most couplets there may be. Default ten a taxon. */
  readonly mostCouplets?: number;
  /** The version of the program, for the first line. Default `(library)`. */
  readonly by?: string;
}

/** What came of a table of described taxa. */
export interface Drafted {
  /** The text of the key; undefined where the table has errors, or where nothing in it parts its taxa. */
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
  /** Keep characters, terms and sources that are not asked any more. Default false. */
  readonly keepUnused?: boolean;
  /** Let harmful look-alikes go that are not on the list. Default false: they stay. */
  readonly dropHarmful?: boolean;
}

/** A trimmed key, and what to bear in mind of it. */
export interface Trimmed {
  /** The text of the trimmed key; undefined where the key or the list has errors, or no name of the list is known. */
  readonly text: string | undefined;
  /** What is wrong with the key or the list. */
  readonly findings: readonly Finding[];
  /** The taxa that the trimmed key ends at, and those that it does not any more. */
  readonly kept: readonly Taxon[];
  /** The worst first. */
  readonly gone: readonly Taxon[];
  /** Harmful look-alikes that stay though they are not on the list. */
  readonly harmfulKept: readonly Taxon[];
  /** Taxa that went and whose finds get (`as`) or may get (`maybe`) the name of another. */
  readonly astray: readonly {
    readonly taxon: Taxon;
    readonly as: readonly Taxon[];
    readonly maybe: readonly Taxon[];
  }[];
  /** Names of the list that the key does not know, with their lines (from 1) and the nearest that it knows. */
  readonly unknownNames: readonly {
    readonly line: number;
    readonly written: string;
    readonly nearest: string | undefined;
  }[];
  /** Names that may mean several taxa, all of which are kept. */
  readonly unclearNames: readonly {
    readonly line: number;
    readonly written: string;
    readonly mayBe: readonly Taxon[];
  }[];
}

/**
 * Trims the text of a key to the taxa of a list (names by line, or a table with a column of names). Finds of taxa that went
 * may get a wrong name in the trimmed key: show `astray`. Throws a Failure when fewer than two ends would be left.
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

/** What differs between two versions of a key; every list is empty where nothing does. */
export interface KeyChanges {
  /** Whether anything has changed that matters to who keys a find: more than words. */
  readonly changed: boolean;
  /** Taxa whose recorded concern is another. */
  readonly concerns: readonly TaxonChange[];
  /** Only in the later version. */
  readonly added: readonly Taxon[];
  /** Only in the earlier version. */
  readonly gone: readonly Taxon[];
  /** The same taxon under another id or name. */
  readonly renamed: readonly TaxonChange[];
  /** Kinds of finds that end elsewhere now: what they were and are; empty for what fits nothing. */
  readonly finds: readonly { readonly was: readonly Taxon[]; readonly is: readonly Taxon[] }[];
  /** Taxa about whose finds it was not decided within the limit of work. */
  readonly undecided: readonly Taxon[];
  /** Taxa that are described otherwise, with the ids of the characters. */
  readonly described: readonly (TaxonChange & { readonly characters: readonly string[] })[];
  /** What has changed of characters, in sentences. */
  readonly characters: readonly {
    readonly id: string;
    readonly name: string;
    readonly what: readonly string[];
  }[];
  /** Leads that only their words tell, and whose words have changed. */
  readonly wordsThatDecide: readonly Reworded[];
  /** All that is worded otherwise. */
  readonly words: readonly Reworded[];
}

/** Compares two versions of a key, each with the keys that it goes on in. */
export function diffKeys(before: Key, after: Key): KeyChanges {
  const diff = diffChains(compiledOf(before).chain, compiledOf(after).chain);
  const { concerns, added, gone, renamed, finds, described, characters, wordsThatDecide, words } = diff;
  return {
    changed: changesSomething(diff),
    concerns,
    added,
    gone,
    renamed,
    finds: finds.moved.map(({ was, is }) => ({ was, is })),
    undecided: finds.undecided,
    described,
    characters,
    wordsThatDecide,
    words,
  };
}
