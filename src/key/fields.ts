import type { Finding, Level, Path, Related } from '../diagnostic/finding.js';
import { harmless } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { defined } from '../text/optional.js';
import { type Data, type DataMap, namesOf, type YamlText } from './document.js';

/** Further details of a finding. */
export interface Detail {
  readonly side?: 'name' | 'value';
  readonly level?: Level;
  readonly found?: string;
  readonly expected?: string;
  readonly nearest?: string | undefined;
  readonly related?: readonly Related[];
  /** Whether it comes from the schema: then nothing else is reported for the same thing. */
  readonly shape?: boolean;
}

// Searching the nearest word among many for each of many mistakes would take too long.
const MOST_COMPARED = 2_000_000;

/** Collects what is wrong with one YAML text, each at its own place. */
export class Reporter {
  readonly findings: Finding[] = [];
  readonly #misshapen = new Set<string>();
  /** Where the text itself is faulty: what it says there is not what was meant. */
  readonly #unreadable = new Set<string>();
  readonly #said = new Set<string>();
  #compared = 0;

  /** The paths at or above which something is wrong. */
  readonly #touched = new Set<string>();
  #mute: (rule: string) => boolean = () => false;

  /**
   * `checked`: the same text was read before without an error, so that none is looked for, and what is needed seldom is read
   * when it is asked for.
   */
  constructor(
    readonly yaml: YamlText,
    readonly checked = false,
  ) {}

  /** Starts with the faults of the text itself; nothing else is reported for such a value. */
  addFaultsOfText(): void {
    this.findings.push(...this.yaml.findings);
    for (const { rule, place } of this.yaml.findings) {
      if (place.path.length === 0) continue;
      if (rule === 'yaml-syntax') this.#unreadable.add(place.path.join('\0'));
      this.touch(place.path);
    }
  }

  /** Whether anything is wrong with what stands at a path, or under a name below it, or with a part of that. */
  touched(path: Path, name?: string): boolean {
    if (this.#touched.size === 0) return false;
    return this.#touched.has((name === undefined ? path : [...path, name]).join('\0'));
  }

  /** Marks a path as wrong without a finding, where the mistake was reported elsewhere. */
  touch(path: Path): void {
    for (let n = path.length; n > 0; n--) this.#touched.add(path.slice(0, n).join('\0'));
  }

  /** Silences some rules: what they would find follows from earlier findings. Paths are still marked as wrong. */
  mute(...rules: readonly string[]): void {
    const before = this.#mute;
    this.#mute = (rule) => before(rule) || rules.includes(rule);
  }

  add(rule: string, message: string, path: Path, detail: Detail = {}): void {
    // One mistake is reported once: what the schema has reported is not reported again for the same thing.
    const mark = path.join('\0');
    if (detail.level === undefined || detail.level === 'error') this.touch(path);
    if (this.#mute(rule) || this.#unreadable.has(mark)) return;
    if (detail.shape) this.#misshapen.add(mark);
    else if (this.#misshapen.has(mark)) return;
    const said = `${mark}\0\0${rule}\0${message}`;
    if (this.#said.has(said)) return;
    this.#said.add(said);
    const { side = 'value', level = 'error', found, expected, nearest: near, related } = detail;
    this.findings.push({
      rule,
      level,
      message: harmless(message),
      place: this.yaml.place(path, side),
      ...defined({ found, expected, nearest: near, related }),
    });
  }

  /** A word that should be one of the known ones and is not; names the nearest. */
  unknown(
    rule: string,
    what: string,
    word: string,
    known: readonly string[],
    path: Path,
    side: 'name' | 'value' = 'value',
  ): void {
    this.#compared += known.length;
    const near = this.#compared > MOST_COMPARED ? undefined : nearest(word, known);
    const hint =
      near !== undefined
        ? `; did you mean ${near}?`
        : known.length > 0 && known.length <= 12
          ? `; there ${known.length === 1 ? 'is' : 'are'} ${known.join(', ')}`
          : '';
    const expected = near ?? (known.length <= 12 ? known.join(', ') : 'a known one');
    this.add(rule, `${what}${hint}`, path, { side, found: word, expected, nearest: near });
  }
}

// Shape problems are reported by the schema; these readers only keep what can be used, so that one misshapen part
// does not hide the mistakes in the others.

export function asText(data: Data | undefined): string | undefined {
  return typeof data === 'string' ? data : undefined;
}

export function asNumber(data: Data | undefined): number | undefined {
  return typeof data === 'number' ? data : undefined;
}

export function asMap(data: Data | undefined): DataMap {
  return typeof data === 'object' && data !== null && !Array.isArray(data) ? (data as DataMap) : NOTHING;
}

export function asList(data: Data | undefined): readonly Data[] {
  return Array.isArray(data) ? data : [];
}

export function asTexts(data: Data | undefined): string[] {
  // Most of what may be said of a taxon is not.
  if (data === undefined) return [];
  return typeof data === 'string' ? [data] : asList(data).filter((d): d is string => typeof d === 'string');
}

/** The entries of a map in the order of the file. */
export function asEntries(data: Data | undefined): (readonly [name: string, value: Data])[] {
  const map = asMap(data);
  return namesOf(map).map((name) => [name, map[name] as Data]);
}

/** A text, or the texts of a list, each with the path at which it stands. */
export function textsAt(data: Data | undefined, path: Path): (readonly [text: string, path: Path])[] {
  if (typeof data === 'string') return [[data, path]];
  return asList(data).flatMap((item, i) => (typeof item === 'string' ? [[item, [...path, i]] as const] : []));
}

export function asNumbers(data: Data | undefined): number[] {
  if (data === undefined) return [];
  return asList(data).filter((d): d is number => typeof d === 'number');
}

const NOTHING: DataMap = Object.freeze(Object.create(null));
