import type { Path } from '../diagnostic/finding.js';
import { type Data, readYaml, type YamlText } from '../key/document.js';
import { quoted } from '../text/harmless.js';
import {
  type DroppedAnswer,
  type KeyRecord,
  type LooseNote,
  RECORD_FORMAT,
  type RecordedAnswer,
} from './record.js';
import type { RecordedFind, RecordedTrait } from './recordfind.js';
import type { KeyMark } from './recordkey.js';

/** What came of reading a record. */
export type ReadRecord =
  | { readonly ok: true; readonly record: KeyRecord }
  /** `kind`: the text is no record at all, or one that is damaged or of a later format. */
  | { readonly ok: false; readonly kind: 'other' | 'damaged'; readonly problem: string };

/** Something in the record is not as it was written. */
class Damaged extends Error {
  constructor(
    message: string,
    readonly path: Path,
  ) {
    super(message);
  }
}

/** Reads a record. Never throws for what the text contains, and never takes half a record for a whole one. */
export function readRecord(text: string, file: string): ReadRecord {
  const yaml = readYaml(text, file);
  const [first] = yaml.findings;
  if (first !== undefined) {
    const { line, column } = first.place.start;
    const looksOurs = /^keywright-record:/m.test(text);
    return {
      ok: false,
      kind: looksOurs ? 'damaged' : 'other',
      problem: looksOurs
        ? `${file}:${line}:${column}: the record is cut short or damaged: ${first.message}`
        : `${file} is not a record of keywright`,
    };
  }
  const { data } = yaml;
  if (!isMap(data) || data['keywright-record'] === undefined)
    return { ok: false, kind: 'other', problem: `${file} is not a record of keywright` };
  const format = String(data['keywright-record']);
  if (format !== RECORD_FORMAT)
    return {
      ok: false,
      kind: 'damaged',
      problem: `${file} is a record of format ${quoted(format)}; this version of keywright reads format ${RECORD_FORMAT}`,
    };
  try {
    return { ok: true, record: recordOf(data) };
  } catch (error) {
    if (!(error instanceof Damaged)) throw error;
    return { ok: false, kind: 'damaged', problem: `${where(yaml, error.path)}: ${error.message}` };
  }
}

function where(yaml: YamlText, path: Path): string {
  const { line, column } = yaml.place(path).start;
  return `${yaml.file}:${line}:${column}`;
}

type Fields = Readonly<Record<string, Data>>;

function isMap(data: Data | undefined): data is { [name: string]: Data } {
  return typeof data === 'object' && data !== null && !Array.isArray(data);
}

function recordOf(data: Fields): KeyRecord {
  // Looked at first: it is the last line of a whole record.
  const status = data.status;
  if (status === undefined)
    throw new Damaged('the record is cut short: the line "status" at its end is missing', []);
  if (status !== 'open' && status !== 'finished')
    throw new Damaged(
      `the record is cut short or damaged: its status is ${quoted(String(status))}, expected "open" or "finished"`,
      ['status'],
    );
  const dropped = list(data, 'dropped', [], (item, path) => ({
    ...answer(item, path),
    why: text(item, 'why', path),
  })) as DroppedAnswer[];
  const notes = list(
    data,
    'notes',
    [],
    (item, path): LooseNote => ({ couplet: text(item, 'couplet', path), note: text(item, 'note', path) }),
  );
  // The result is not read: it follows from evidence and answers, and is worked out anew.
  return {
    program: text(data, 'program', []),
    key: mark(map(data, 'key', []), ['key']),
    started: text(data, 'started', []),
    ...optional(data, 'ended', []),
    collection: find(map(data, 'collection', []), ['collection']),
    answers: list(data, 'answers', [], answer),
    ...(dropped.length === 0 ? {} : { dropped }),
    ...(notes.length === 0 ? {} : { notes }),
    ...optional(data, 'note', []),
    possible: texts(data, 'possible', []),
    status,
  };
}

function answer(item: Fields, path: Path): RecordedAnswer {
  const lead = text(item, 'lead', path);
  if (!/^([a-z]{1,2}|\?)$/.test(lead))
    throw new Damaged(`${quoted(lead)} is no lead: expected a letter, or "?" for can't tell`, [
      ...path,
      'lead',
    ]);
  return {
    couplet: text(item, 'couplet', path),
    lead,
    says: texts(item, 'says', path),
    at: text(item, 'at', path),
    ...optional(item, 'note', path),
  };
}

function mark(data: Fields, path: Path): KeyMark {
  return {
    id: text(data, 'id', path),
    version: text(data, 'version', path),
    title: text(data, 'title', path),
    hash: text(data, 'hash', path),
  };
}

function find(data: Fields, path: Path): RecordedFind {
  const evidence = list(
    data,
    'evidence',
    path,
    (item, at): RecordedTrait => ({
      character: text(item, 'character', at),
      shows: text(item, 'shows', at),
      ...optional(item, 'specimen', at),
      ...optional(item, 'stage', at),
    }),
  );
  const leads = list(data, 'leads', path, (item, at) => ({
    couplet: text(item, 'couplet', at),
    lead: text(item, 'lead', at),
  }));
  const stages = texts(data, 'stages', path);
  return {
    id: text(data, 'id', path),
    ...optional(data, 'date', path),
    ...optional(data, 'place', path),
    ...optional(data, 'region', path),
    ...optional(data, 'by', path),
    ...optional(data, 'habitat', path),
    ...optional(data, 'note', path),
    ...(stages.length === 0 ? {} : { stages }),
    ...(evidence.length === 0 ? {} : { evidence }),
    ...(leads.length === 0 ? {} : { leads }),
  };
}

function text(data: Fields, name: string, path: Path): string {
  const value = data[name];
  if (value === undefined || value === null) throw new Damaged(`the record lacks "${name}" here`, path);
  if (typeof value === 'object') throw new Damaged(`"${name}" should be a text`, [...path, name]);
  return String(value);
}

function optional<N extends string>(data: Fields, name: N, path: Path): { [K in N]?: string } {
  if (data[name] === undefined || data[name] === null) return {};
  return { [name]: text(data, name, path) } as { [K in N]?: string };
}

function map(data: Fields, name: string, path: Path): Fields {
  const value = data[name];
  if (value === undefined) throw new Damaged(`the record lacks "${name}" here`, path);
  if (!isMap(value)) throw new Damaged(`"${name}" should be a list of properties`, [...path, name]);
  return value;
}

/** A list of things; nothing there is an empty list. */
function list<T>(
  data: Fields,
  name: string,
  path: Path,
  read: (item: Fields, path: Path) => T,
): readonly T[] {
  const value = data[name];
  if (value === undefined || value === null) return [];
  if (!Array.isArray(value)) throw new Damaged(`"${name}" should be a list`, [...path, name]);
  return value.map((item, i) => {
    const at = [...path, name, i];
    if (!isMap(item)) throw new Damaged(`an entry of "${name}" is damaged`, at);
    return read(item, at);
  });
}

function texts(data: Fields, name: string, path: Path): readonly string[] {
  const value = data[name];
  if (value === undefined || value === null) return [];
  const items = Array.isArray(value) ? value : [value];
  return items.map((item, i) => {
    if (typeof item === 'object') throw new Damaged(`"${name}" should be texts`, [...path, name, i]);
    return String(item);
  });
}
