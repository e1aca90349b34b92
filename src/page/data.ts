import type { Path } from '../diagnostic/finding.js';
import { Lines } from '../diagnostic/lines.js';
import { type CompiledKey, compile } from '../engine/compile.js';
import { buildKey, buildTerms } from '../key/build.js';
import { joinedChain } from '../key/chain.js';
import { type Data, type DataMap, mapOf, namesOf, type YamlText } from '../key/document.js';
import { asMap, asTexts, Reporter } from '../key/fields.js';
import type { Terms } from '../key/key.js';
import type { Found, LoadedKey, Shelf } from '../key/load.js';
import { type KeyMark, setKeyMark } from '../record/key-mark.js';

/**
 * What a page holds besides its program: the parsed data of a key, of all that it continues in, and of their terms. The
 * command writes it, the page builds the same chain from it as the command line does.
 */
export interface PageData {
  /** How the page signs its records: `keywright 0.1.0`. */
  readonly program: string;
  /** The day on which the page was made, as ISO 8601. */
  readonly made: string;
  /** The telephone number of a poison centre, as it was given; absent where none was. */
  readonly centre?: string;
  /** The mark of the key, which is made from texts that the page does not have. */
  readonly mark: KeyMark;
  /** The file of the main key. */
  readonly main: string;
  /** Every key and terms file; words that clear a find are quoted already. */
  readonly files: readonly PageFile[];
  /** By the `file` of a figure in that data: the picture. One that was left out has none, and shows its caption alone. */
  readonly figures: Readonly<Record<string, PageFigure>>;
}

declare global {
  /** All of it but the pictures, which what starts the page has unpacked. */
  var unpackedKey: Omit<PageData, 'figures'>;
}

/** One key or terms file. */
export interface PageFile extends PackedData {
  readonly name: string;
  /** What it calls the other files: by the id or path that stands in it. */
  readonly calls: Readonly<Record<string, string>>;
}

/** A picture. */
export interface PageFigure {
  /** As a `data:` address. */
  readonly source: string;
  /** In pixels; absent where not known. */
  readonly width?: number;
  readonly height?: number;
}

/** Data of a key as JSON keeps it; a map whose order JSON would lose, or with a name that means something to JavaScript, is a list of pairs. */
export type Packed =
  | string
  | number
  | boolean
  | null
  | readonly Packed[]
  | { readonly [name: string]: Packed };

/** Data as they may be written to JSON, and where a list of pairs stands for a map in them: what is around comes before what is within. */
export interface PackedData {
  readonly data: Packed;
  readonly pairs: readonly Path[];
}

/** Packs data for JSON. */
export function packed(data: Data): PackedData {
  const pairs: Path[] = [];
  const pack = (part: Data, path: Path): Packed => {
    if (typeof part !== 'object' || part === null) return part;
    if (Array.isArray(part)) return part.map((item: Data, i) => pack(item, [...path, i]));
    const map = part as DataMap;
    const names = namesOf(map);
    const plain = Object.keys(map);
    const kept = names.length === plain.length && names.every((name, i) => name === plain[i]);
    const asPairs = !kept || names.some((name) => name === '' || name in Object.prototype);
    if (asPairs) pairs.push(path);
    const items = names.map((name) => [name, pack(map[name] ?? null, [...path, name])] as const);
    return asPairs ? items : Object.fromEntries(items);
  };
  return { data: pack(data, []), pairs };
}

/**
 * The data that were packed; what was packed is used up. Only maps of pairs have no prototype, as a parser makes all of them:
 * no other has a name that is one of a prototype, and taking each of thousands away takes a slow phone a tenth of a second.
 */
export function unpacked({ data, pairs }: PackedData): Data {
  const top: Record<string, Data> = { data: data as Data };
  for (const path of pairs) {
    let around = top;
    let name: string | number = 'data';
    for (const step of path) {
      around = around[name] as Record<string, Data>;
      name = step;
    }
    around[name] = mapOf(around[name] as unknown as readonly (readonly [string, Data])[]);
  }
  return top.data as Data;
}

/** Opens the key of a page. Throws an Error where the page does not hold together: then it was damaged on its way. */
export function openPageKey(page: PageData): CompiledKey {
  const files = new Map(page.files.map((file) => [file.name, file]));
  const shelf: Shelf = { key: called, terms: called };
  const terms = new Map<string, Terms>();
  const read = (_: string, file: string): LoadedKey => {
    const yaml = parsed(file);
    const report = new Reporter(yaml, true);
    const shared = asTexts(asMap(yaml.data).uses).map((reference) => {
      const name = files.get(file)?.calls[reference] ?? '';
      const known = terms.get(name) ?? termsOf(name);
      terms.set(name, known);
      return known;
    });
    return { key: buildKey(yaml, yaml.data ?? null, shared, report), yaml, findings: report.findings };
  };
  const { chain, findings } = joinedChain(read('', page.main), page.main, shelf, read);
  if (chain === undefined) throw new Error(findings[0]?.message ?? 'no key');
  setKeyMark(chain, page.mark);
  return compile(chain);

  function called(reference: string, from: string): Found {
    const file = files.get(from)?.calls[reference];
    return file === undefined
      ? { ok: false, problem: 'it is not in this page' }
      : { ok: true, file, text: '' };
  }

  function termsOf(name: string): Terms {
    const yaml = parsed(name);
    return buildTerms(yaml, yaml.data ?? null, new Reporter(yaml, true));
  }

  function parsed(name: string): YamlText {
    const file = files.get(name);
    const start = { line: 1, column: 1, offset: 0 };
    return {
      file: name,
      lines: new Lines(''),
      data: file === undefined ? null : unpacked(file),
      findings: [],
      place: (path) => ({ file: name, path, start, end: start }),
    };
  }
}
