import { type Chain, loadChain } from '../../key/chain.js';
import { type Data, readYaml } from '../../key/document.js';
import type { Found, Shelf } from '../../key/load.js';
import { withClearingQuoted } from '../../key/said-texts.js';
import { type PageFile, packed } from '../../page/data.js';
import type { FiguresOf } from './figures.js';

/** A key that was opened for a page, with the data of every file that it needs. */
export interface PageContents {
  readonly chain: Chain;
  readonly files: readonly PageFile[];
  /** The same data as it was parsed. */
  readonly sources: readonly FiguresOf[];
}

/** Takes a key and all that it needs off a shelf; undefined where something is wrong with it. */
export function contentsOf(text: string, file: string, shelf: Shelf): PageContents | undefined {
  const noting = new NotingShelf(shelf, file, text);
  const { chain } = loadChain(text, file, noting);
  if (chain === undefined) return undefined;
  const sources = [...noting.texts].map(([name, own]): FiguresOf => {
    const key = chain.keys.find((k) => k.file === name);
    const data: Data = (key?.yaml ?? readYaml(own, name)).data ?? null;
    return { name, data: withClearingQuoted(data) };
  });
  const files = sources.map(({ name, data }): PageFile => {
    const calls = Object.fromEntries(noting.calls.get(name) ?? []);
    return { name, ...packed(data), calls };
  });
  return { chain, files, sources };
}

/** A shelf that keeps what was taken from it, and by what name each file called it. */
class NotingShelf implements Shelf {
  readonly texts: Map<string, string>;
  readonly calls = new Map<string, Map<string, string>>();

  constructor(
    readonly shelf: Shelf,
    file: string,
    text: string,
  ) {
    this.texts = new Map([[file, text]]);
  }

  key(reference: string, fromFile: string): Found {
    return this.#note(reference, fromFile, this.shelf.key(reference, fromFile));
  }

  terms(reference: string, fromFile: string): Found {
    return this.#note(reference, fromFile, this.shelf.terms(reference, fromFile));
  }

  #note(reference: string, from: string, found: Found): Found {
    if (!found.ok) return found;
    if (!this.texts.has(found.file)) this.texts.set(found.file, found.text);
    const calls = this.calls.get(from) ?? new Map<string, string>();
    this.calls.set(from, calls.set(reference, found.file));
    return found;
  }
}
