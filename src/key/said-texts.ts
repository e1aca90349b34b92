import type { Path } from '../diagnostic/finding.js';
import { quotedIfClearing } from '../text/clearing.js';
import { type Data, type DataMap, mapOf, namesOf, OF_IDS } from './document.js';

/** A text that an author wrote and that may be shown to people. */
export interface SaidText {
  readonly path: Path;
  readonly text: string;
  /** An id stands for something else and is referred to: it can be reported, but not be shown differently. */
  readonly kind: 'text' | 'term' | 'id';
  /** A scientific name, or an id, which often is one. */
  readonly scientific: boolean;
}

/** What only refers to something, or is read as a value: what it refers to is looked at where it is defined. */
const REFERENCES: ReadonlySet<string> = new Set([
  ...[
    'when',
    'usually',
    'applies-when',
    'traits',
    'taxon',
    'to',
    'key',
    'at',
    'within',
    'alike',
    'uses',
    'file',
  ],
  ...['start', 'reaches', 'version', 'licence', 'url'],
]);
/** What an id looks like. */
const ID = /^[a-z0-9]+(?:-[a-z0-9]+)*$/;

/**
 * Every text of a key file or a terms file that may be shown: titles, leads, names, meanings, harm, notes, captions
 * and ids.
 */
export function* saidTexts(data: Data | undefined, path: Path = [], property = ''): Generator<SaidText> {
  if (typeof data === 'string') {
    if (property === 'sources' || (property === 'source' && ID.test(data))) return;
    const scientific = path[0] === 'taxa' && (property === 'name' || property === 'synonyms');
    if (property === 'id') yield { path, text: data, kind: 'id', scientific: true };
    else yield { path, text: data, kind: 'text', scientific };
  } else if (Array.isArray(data)) {
    for (const [i, item] of data.entries()) yield* saidTexts(item, [...path, i], property);
  } else if (typeof data === 'object' && data !== null) {
    const map = data as DataMap;
    const ids = OF_IDS.has(property) || property === 'states';
    for (const name of namesOf(map)) {
      if (!ids && property !== 'glossary' && REFERENCES.has(name)) continue;
      const below = [...path, name];
      if (ids) yield { path: below, text: name, kind: 'id', scientific: true };
      if (property === 'glossary') yield { path: below, text: name, kind: 'term', scientific: false };
      yield* saidTexts(map[name], below, ids ? '' : name);
    }
  }
}

/**
 * The same data with every text that clears a find as a quotation of the key. Wherever it is shown, it cannot be taken
 * for words of
 * the program.
 */
export function withClearingQuoted(data: Data): Data {
  const quoted = new Map<string, string>();
  for (const { path, text, kind, scientific } of saidTexts(data)) {
    const shown = kind === 'id' ? text : quotedIfClearing('key', text, { scientific });
    if (shown !== text) quoted.set(markOf(path, kind), shown);
  }
  return quoted.size === 0 ? data : remade(data, [], quoted);
}

function markOf(path: Path, kind: SaidText['kind']): string {
  return `${kind === 'term' ? 'term' : 'text'}\0${path.join('\0')}`;
}

function remade(data: Data, path: Path, quoted: ReadonlyMap<string, string>): Data {
  const below = (step: string | number) => [...path, step];
  if (typeof data === 'string') return quoted.get(markOf(path, 'text')) ?? data;
  if (Array.isArray(data)) {
    const items = data.map((item, i) => remade(item, below(i), quoted));
    // The words of a state in a list are its id too, which stays.
    const states = path[path.length - 1] === 'states' && items.some((item, i) => item !== data[i]);
    return states ? mapOf(items.map((item, i) => [String(data[i]), item])) : items;
  }
  if (typeof data !== 'object' || data === null) return data;
  const map = data as DataMap;
  return mapOf(
    namesOf(map).map((name) => [
      quoted.get(markOf(below(name), 'term')) ?? name,
      remade(map[name] ?? null, below(name), quoted),
    ]),
  );
}
