import {
  type Alias,
  isAlias,
  isMap,
  isScalar,
  isSeq,
  type Node,
  parseDocument,
  type Scalar,
  type YAMLMap,
} from 'yaml';
import type { Finding, Path, Place } from '../diagnostic/finding.js';
import { Lines } from '../diagnostic/lines.js';
import { harmless, quoted } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import { locate, nameOf, pathAt, type Range, rangeOf, startOf } from './yaml-places.js';
import { openingQuote, syntaxMessage, unquotedSigns } from './yaml-syntax.js';

/** What a YAML document holds once read: text, numbers, booleans, nothing, lists and maps without a prototype. */
export type Data = string | number | boolean | null | readonly Data[] | { readonly [name: string]: Data };

/** A map of the document. */
export type DataMap = { readonly [name: string]: Data };

/** A YAML text, parsed once: its data, where everything stands, and what was wrong with it. */
export interface YamlText {
  readonly file: string;
  readonly lines: Lines;
  /** undefined when the syntax was too broken to read. */
  readonly data: Data | undefined;
  readonly findings: readonly Finding[];
  /** Where the value at a path stands, or its name (`side: 'name'`); the nearest thing around it that exists. */
  place(path: Path, side?: 'name' | 'value'): Place;
}

// Scalars keep the author's text (`1.10` stays `1.10`), but for the few properties that are numbers or yes/no by
// meaning.
const TYPED = new Set([
  'keywright',
  'keywright-terms',
  'keywright-taxa',
  'keywright-collections',
  'keywright-record',
  'keywright-correspondences',
  'effort',
  'reliability',
  'frequency',
  'months',
  'complete',
  'otherwise',
  'perishable',
  'settled',
  'doubted',
]);
// Below these stand the author's own ids and values, whatever they are called.
const VERBATIM = new Set(['traits', 'when', 'usually', 'applies-when', 'states', 'glossary', 'leads']);
// The names right below these are ids; a taxon may be called "traits".
export const OF_IDS: ReadonlySet<string> = new Set(['characters', 'couplets', 'taxa', 'sources']);

// An object sorts names that look like array indices (couplets 2, 1, 10) to its front; for such maps the author's order
// is kept here.
const ORDERS = new WeakMap<DataMap, readonly string[]>();

/** The names of a map in the order of the file. */
export function namesOf(map: DataMap): readonly string[] {
  return ORDERS.get(map) ?? Object.keys(map);
}

/** A map of these names and values in this order. */
export function mapOf(entries: readonly (readonly [name: string, value: Data])[]): DataMap {
  const out: Record<string, Data> = Object.create(null);
  for (const [name, value] of entries) out[name] = value;
  ORDERS.set(out, [...new Set(entries.map(([name]) => name))]);
  return out;
}

/** Nodes that may be reached through YAML aliases: enough for shared conditions, too few to blow memory up. */
const MOST_ALIASED = 20_000;
const DEEPEST = 60;
/** A key of 10,000 couplets takes about 4 MB; past this the text is refused before it is parsed. */
export const LARGEST_TEXT = 24 * 1024 * 1024;

/**
 * Values that a text may have, counted by the signs that part them. The parser takes about a kilobyte for
 * each, so that a text of nothing but short ones would fill the memory long before it is as large as it may
 * be. A key of 10,000 couplets that describes its taxa has 600,000.
 */
const MOST_VALUES = 1_500_000;
/** At most so many mistakes of a file are reported; the rest are found once these are fixed. */
export const MOST_MISTAKES = 20_000;

const TOO_DEEP = 'The file is nested too deep to be read.';

class Refused extends Error {
  constructor(
    message: string,
    readonly offset: number,
  ) {
    super(message);
  }
}

/**
 * Parses a YAML text; never throws for what the text contains. `partly`: a value that begins with a sign that
 * must be quoted (`>= 5`) is a fault of that value alone, at its own path, and the rest is read.
 */
export function readYaml(text: string, file: string, { partly = false } = {}): YamlText {
  const source = text.charCodeAt(0) === 0xfeff ? text.slice(1) : text;
  const lines = new Lines(source);
  const findings: Finding[] = [];
  const report = (
    rule: string,
    message: string,
    start: number,
    end = start + 1,
    related?: Finding['related'],
    path: Path = [],
  ) => {
    if (findings.length >= MOST_MISTAKES) return;
    const place: Place = { file, path, start: lines.at(start), end: lines.at(end) };
    findings.push({
      rule,
      level: 'error',
      message: harmless(message),
      place,
      ...defined({ related }),
    });
  };
  const nothing = (): YamlText => ({
    file,
    lines,
    data: undefined,
    findings,
    place: () => ({ file, path: [], start: lines.at(0), end: lines.at(0) }),
  });
  if (source.length > LARGEST_TEXT) {
    report(
      'text-size',
      `The file is ${Math.round(source.length / 1048576)} MB; ${LARGEST_TEXT / 1048576} MB is the most that is read.`,
      0,
    );
    return nothing();
  }
  if (manyValues(source)) {
    report(
      'text-size',
      `The file holds more than ${MOST_VALUES.toLocaleString('en')} values, the most that are read.`,
      0,
    );
    return nothing();
  }
  const deep = deepFlow(source);
  if (deep !== undefined) {
    report('text-depth', `Brackets are nested more than ${DEEPEST} deep here.`, deep);
    return nothing();
  }
  let root: Node | null;
  try {
    const doc = parseDocument(source, { uniqueKeys: false, prettyErrors: false, logLevel: 'error' });
    const signs = partly ? unquotedSigns(doc.errors, source) : undefined;
    for (const { code, message, pos } of signs === undefined ? doc.errors : []) {
      const [start, end] = pos;
      const quote = /closing .*quote/.test(message) ? openingQuote(doc.contents, start) : undefined;
      if (quote !== undefined) {
        // Further errors below follow from it.
        report('yaml-syntax', 'This quote is never closed.', quote);
        break;
      }
      if (code === 'RESOURCE_EXHAUSTION') report('text-depth', TOO_DEEP, start);
      else report('yaml-syntax', syntaxMessage(code, message), start, Math.max(end, start + 1));
    }
    if (doc.errors.length > 0 && signs === undefined) return nothing();
    root = doc.contents;
    for (const at of signs ?? [])
      report('yaml-syntax', syntaxMessage('BAD_SCALAR_START'), at, at + 1, undefined, pathAt(root, at));
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    report('text-depth', TOO_DEEP, 0);
    return nothing();
  }
  const anchors = new Map<string, Node>();
  const place = (path: Path, side: 'name' | 'value' = 'value'): Place => {
    const [start, end] = locate(root, path, side, anchors);
    return { file, path, start: lines.at(start), end: lines.at(end) };
  };
  let data: Data;
  try {
    data = new Reader(anchors, {
      duplicate: (first, second, name) => {
        const where: Place = { file, path: [], start: lines.at(first[0]), end: lines.at(first[1]) };
        report(
          'id-unique',
          `${quoted(name)} stands twice here; the first is in line ${where.start.line}.`,
          second[0],
          second[1],
          [{ message: 'the first one', place: where }],
          pathAt(root, second[0]),
        );
      },
      unnameable: ([start, end]) =>
        report(
          'id-form',
          'A name before ":" is a word; a list, a map or an alias cannot be one.',
          start,
          end,
        ),
      tagged: ([start, end], tag) =>
        report(
          'yaml-syntax',
          `What begins with "!" is a tag to YAML, so ${quoted(tag)} would be lost: put the whole in quotes.`,
          start,
          end,
          undefined,
          pathAt(root, start),
        ),
    }).read(root, '', 0);
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    report('text-depth', error.message, error.offset);
    return nothing();
  }
  return { file, lines, data, findings, place };
}

/** What may be wrong with a name, once the syntax is right. */
interface NameFaults {
  duplicate(first: Range, second: Range, name: string): void;
  unnameable(name: Range): void;
  /** A tag of YAML that means nothing here: whoever wrote it may have meant the sign. */
  tagged(value: Range, tag: string): void;
}

class Reader {
  #aliased = 0;
  readonly #within = new Set<Node>();
  #inAlias = 0;
  #verbatim = 0;

  constructor(
    readonly anchors: Map<string, Node>,
    readonly faults: NameFaults,
  ) {}

  read(node: unknown, property: string, depth: number): Data {
    if (depth > DEEPEST)
      throw new Refused(`The file is nested more than ${DEEPEST} deep here.`, startOf(node));
    if (this.#inAlias > 0 && ++this.#aliased > MOST_ALIASED)
      throw new Refused(`Aliases repeat more than ${MOST_ALIASED} values.`, startOf(node));
    if (isAlias(node)) return this.#follow(node, property, depth);
    const { anchor, tag } = (node ?? {}) as Partial<Scalar>;
    // Those of the standard (`!!str`) have long names.
    if (tag?.startsWith('!') && this.#inAlias === 0) this.faults.tagged(rangeOf(node), tag);
    if (isScalar(node)) {
      if (anchor !== undefined) this.anchors.set(anchor, node);
      return scalar(node, this.#verbatim > 0 ? '' : property);
    }
    if (anchor === undefined) return this.#collection(node, property, depth);
    this.anchors.set(anchor, node as Node);
    this.#within.add(node as Node);
    const data = this.#collection(node, property, depth);
    this.#within.delete(node as Node);
    return data;
  }

  #collection(node: unknown, property: string, depth: number): Data {
    if (isSeq(node)) return node.items.map((item) => this.read(item, property, depth + 1));
    if (isMap(node)) return this.#map(node, OF_IDS.has(property), depth);
    return null;
  }

  #follow(node: Alias, property: string, depth: number): Data {
    const target = this.anchors.get(node.source);
    if (target === undefined)
      throw new Refused(`The alias *${node.source} names nothing above it.`, startOf(node));
    if (this.#within.has(target))
      throw new Refused(`The alias *${node.source} stands within what it names.`, startOf(node));
    this.#inAlias++;
    const data = this.read(target, property, depth + 1);
    this.#inAlias--;
    return data;
  }

  #map(node: YAMLMap, ofIds: boolean, depth: number): Data {
    const out: Record<string, Data> = Object.create(null);
    const names = new Map<string, unknown>();
    let indexed = false;
    for (const pair of node.items) {
      const name = nameOf(pair);
      if (name === undefined) {
        if (this.#inAlias === 0) this.faults.unnameable(rangeOf(pair.key));
        continue;
      }
      if (names.has(name)) {
        if (this.#inAlias === 0) this.faults.duplicate(rangeOf(names.get(name)), rangeOf(pair.key), name);
        continue;
      }
      names.set(name, pair.key);
      if (isDigit(name.charCodeAt(0))) indexed = true;
      const verbatim = !ofIds && VERBATIM.has(name) ? 1 : 0;
      this.#verbatim += verbatim;
      out[name] = this.read(pair.value, ofIds ? '' : name, depth + 1);
      this.#verbatim -= verbatim;
    }
    if (indexed) ORDERS.set(out, [...names.keys()]);
    return out;
  }
}

function isDigit(code: number): boolean {
  return code >= 48 && code <= 57;
}

function scalar(node: Scalar, property: string): Data {
  // An author's `null` is a word like any other; only an empty value or a tilde is null.
  if (node.value === null) return node.source === undefined || /^~?$/.test(node.source) ? null : node.source;
  if (TYPED.has(property) && (typeof node.value === 'number' || typeof node.value === 'boolean'))
    return node.value;
  if (typeof node.value === 'string') return node.value;
  return node.source ?? String(node.value);
}

/**
 * Whether a text has more values than are read: each follows a bracket, a comma, a colon, a dash or a new line.
 */
function manyValues(text: string): boolean {
  if (text.length <= MOST_VALUES) return false;
  let values = 0;
  for (let i = 0; i < text.length; i++) {
    const c = text.charCodeAt(i);
    if (c === 10 || c === 44 || c === 91 || c === 123) values++;
    else if ((c === 45 || c === 58 || c === 63) && PARTS.has(text.charCodeAt(i + 1))) values++;
    if (values > MOST_VALUES) return true;
  }
  return false;
}

/** Space, tab, line feed, carriage return, and the signs of flow collections. */
const PARTS = new Set([32, 9, 10, 13, 44, 91, 93, 123, 125]);

/** The offset at which flow brackets nest too deeply for the parser's recursion, if anywhere. */
function deepFlow(text: string): number | undefined {
  let depth = 0;
  let inLine = true;
  for (let i = 0; i < text.length; i++) {
    const c = text.charCodeAt(i);
    if (c === 10) inLine = true;
    else if (c === 35 && (i === 0 || text.charCodeAt(i - 1) <= 32)) inLine = false;
    else if (!inLine) continue;
    else if (c === 91 || c === 123) {
      if (++depth > 400) return i;
    } else if ((c === 93 || c === 125) && depth > 0) depth--;
  }
  return undefined;
}
