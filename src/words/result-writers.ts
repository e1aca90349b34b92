import { stringify as yaml } from 'yaml';
import type { CompiledKey } from '../engine/compile.js';
import { harmlessLines, visibleJson } from '../text/harmless.js';
import { collectionOf, type Identified, mistakesOf, resultOf, toCheck, verdictOf } from './results.js';
import { worstCaseTexts } from './worst-case.js';

/** The formats in which results are written. */
const resultFormats = ['table', 'csv', 'yaml', 'ndjson'] as const;
export type ResultFormat = (typeof resultFormats)[number];

/** Writes results as they come; the pieces put together are the whole. */
export interface ResultWriter {
  /** What stands before the first result. */
  head(): string;
  results(batch: readonly Identified[]): string;
  /** Hears of columns that are passed on, before the results that have them; gives those that come too late to be. */
  passOn?(columns: readonly string[]): readonly string[];
  /** What stands after the last result. */
  foot(): string;
}

/** One JSON object a line. */
export function ndjsonWriter(key: CompiledKey): ResultWriter {
  return {
    head: () => '',
    results: (batch) => batch.map((r) => `${visibleJson(JSON.stringify(resultOf(r, key)))}\n`).join(''),
    foot: () => '',
  };
}

/** A YAML list of the same objects. */
export function yamlWriter(key: CompiledKey): ResultWriter {
  let any = false;
  return {
    head: () => '',
    results: (batch) => {
      if (batch.length === 0) return '';
      any = true;
      return harmlessLines(
        yaml(
          batch.map((r) => resultOf(r, key)),
          { lineWidth: 0, aliasDuplicateObjects: false },
        ),
      );
    },
    foot: () => (any ? '' : '[]\n'),
  };
}

const HEADINGS = [
  'id',
  'name',
  'qualifier',
  'candidates',
  'concern',
  'verdict',
  'settled',
  'check',
  'warnings',
] as const;

/**
 * A table for spreadsheets and statistics: one row a collection, several things in a cell joined by ` | `.
 * Not written with a CSV library, since a general writer took as long as all the rest of identifying.
 */
export function csvWriter(): ResultWriter {
  const others: string[] = [];
  let begun = false;
  const head = () => `${[...HEADINGS, ...others.map(csvName)].join(',')}\n`;
  return {
    head: () => '',
    results: (batch) => {
      if (batch.length === 0) return '';
      let text = '';
      if (!begun) text += head();
      begun = true;
      for (const identified of batch) text += csvRow(identified, others);
      return harmlessLines(text);
    },
    passOn: (columns) => {
      const fresh = columns.filter((c) => !others.includes(c));
      if (begun) return fresh;
      others.push(...fresh);
      return [];
    },
    foot: () => (begun ? '' : head()),
  };
}

/** The name of a column that is passed on, so that it is never that of a result. */
function csvName(name: string): string {
  return csvCell(HEADINGS.some((h) => h === name.trim().toLowerCase()) ? `${name} (table)` : name);
}

function passedOn(identified: Identified, columns: readonly string[]): string {
  if (columns.length === 0) return '';
  const { others = {} } = collectionOf(identified);
  return columns
    .map((name) => `,${csvCell(Object.hasOwn(others, name) ? (others[name] ?? '') : '')}`)
    .join('');
}

/** Cells that need quotes, searched in all cells joined by `|`. */
const NEEDS_CARE = /[",\r\n]|(?:^|\|)[=+\-@\t]/;

function csvRow(identified: Identified, others: readonly string[]): string {
  const more = passedOn(identified, others);
  const { word, settled } = verdictOf(identified);
  if (identified.kind === 'failed') {
    const { entry } = identified;
    return `${csvCell(entry.collection.id)},,,,,${word},no,,${csvCell(mistakesOf(entry).join(' | '))}${more}\n`;
  }
  const { found } = identified;
  const { possible, name = '', qualifier = '', warnings } = found;
  const { characters, couplets } = toCheck(found);
  let names = '';
  let concerns = '';
  for (const taxon of possible) {
    names += names === '' ? taxon.name : ` | ${taxon.name}`;
    concerns += concerns === '' ? taxon.concern.level : ` | ${taxon.concern.level}`;
  }
  let check = characters.join(' | ');
  for (const couplet of couplets) check += `${check === '' ? '' : ' | '}couplet ${couplet}`;
  let warned = '';
  for (const { message } of warnings) warned += warned === '' ? message : ` | ${message}`;
  if (found.further.length > 0)
    warned = [...worstCaseTexts(found), ...(warned === '' ? [] : [warned])].join(' | ');
  const { id } = found.collection;
  const sure = settled ? 'yes' : 'no';
  // One search through all cells is faster than one for each.
  return NEEDS_CARE.test(`${id}|${name}|${names}|${check}|${warned}`)
    ? `${csvCell(id)},${csvCell(name)},${qualifier},${csvCell(names)},${concerns},${word},${sure},${csvCell(check)},${csvCell(warned)}${more}\n`
    : `${id},${name},${qualifier},${names},${concerns},${word},${sure},${check},${warned}${more}\n`;
}

/**
 * A cell as RFC 4180 wants it. A spreadsheet would run one that begins with = + - or @ as a formula: an apostrophe
 * before it says that it is text.
 */
export function csvCell(text: string): string {
  const first = text.charCodeAt(0);
  // = + - @, tab, carriage return
  const formula = first === 61 || first === 43 || first === 45 || first === 64 || first === 9 || first === 13;
  const plain = formula ? `'${text}` : text;
  return /[",\r\n]/.test(plain) ? `"${plain.replaceAll('"', '""')}"` : plain;
}
