import { dirname, posix, resolve, sep } from 'node:path';
import { writeArchive } from '../../archive/archive.js';
import { Failure } from '../../diagnostic/failure.js';
import type { Finding } from '../../diagnostic/finding.js';
import { bundleAt, bundleIn } from '../../files/bundle.js';
import {
  BUNDLE_ENDING,
  type BundledKind,
  MANIFEST,
  type Manifest,
  manifestText,
  sha256,
} from '../../files/manifest.js';
import { OutFile } from '../../files/out.js';
import { LARGEST_FIGURE, readReferencedFile } from '../../files/referenced-file.js';
import type { FolderShelf } from '../../files/shelf.js';
import { tellNamesakes } from '../../inputs/key-shelf.js';
import { hindrances, lintedKey, tellHindrances } from '../../inputs/linted-key.js';
import { type Chain, loadChain } from '../../key/chain.js';
import { readYaml, type YamlText } from '../../key/document.js';
import { figuresIn } from '../../key/figures.js';
import type { Key } from '../../key/key.js';
import { licenceText, readLicence } from '../../key/licences.js';
import type { Shelf } from '../../key/load.js';
import { withClearingQuoted } from '../../key/said-texts.js';
import { keyMark } from '../../record/key-mark.js';
import type { World } from '../../terminal/world.js';
import { harmless, quoted } from '../../text/harmless.js';
import { defined } from '../../text/optional.js';
import { count } from '../../text/words.js';
import type { Figure } from '../../traits/character.js';
import { cautions } from '../../words/cautions.js';
import { type BundledText, placesFor } from './places.js';
import { authorsText, type BundleContents, contentsWords, readMeText } from './texts.js';

/** The options of `bundle`. */
interface BundleFlags {
  readonly out?: string;
  readonly overwrite?: boolean;
  readonly withoutLicence?: boolean;
  readonly keys?: readonly string[];
}

const LARGEST_LICENCE = 1024 * 1024;
/** Where licence texts stand, in a bundle as beside a key that has terms of its own. */
const LICENCES = 'LICENSES';
const README = 'README.txt';
const AUTHORS = 'AUTHORS.txt';

/** Bundles a key. 0 = bundled, 1 = refused for what is wrong with the key, 2 = the work could not be done. */
export async function action(
  [reference = '']: readonly string[],
  flags: BundleFlags,
  world: World,
): Promise<number> {
  const say = (text: string) => world.stderr.write(`keywright: ${harmless(text)}\n`);
  const opened = await lintedKey(reference, flags.keys, world);
  if (opened === undefined) return 2;
  const { file, text, shelf, report } = opened;
  if (shelf.bundleOf(file) !== undefined)
    throw new Failure(`${harmless(file)} lies in a bundle already`, { hint: 'unpack it to bundle it again' });
  const noted = new NotingShelf(shelf);
  const { chain } = loadChain(text, file, noted);
  tellNamesakes(shelf, world);
  const contents =
    chain === undefined ? undefined : new Contents(chain, noted.texts(file, text), flags, world);
  await contents?.gather();
  const errors = hindrances(report);
  const known = new Set(errors.map(findingMark));
  errors.push(...(contents?.findings ?? []).filter((f) => !known.has(findingMark(f))));
  if (contents === undefined || errors.length > 0) {
    tellHindrances(errors, `${file} is not bundled`, world);
    return 1;
  }

  const { bytes, manifestFiles } = contents.pack(`keywright ${world.version}`);
  const out = flags.out ?? `${nameFor(contents.chain.main)}${BUNDLE_ENDING}`;
  refuseUnlessOpensAlike(bytes, out, contents.chain);
  if (flags.overwrite !== true) refuseSameVersion(resolve(world.cwd, out), out, bytes);
  new OutFile(world.cwd, out, flags.overwrite).write(bytes);
  say(`${out} written: ${contentsWords(manifestFiles)}`);
  for (const remark of contents.remarks) say(remark);
  const warnings = report.findings.filter((f) => f.level === 'warning').length;
  if (warnings > 0) say(`lint has ${count(warnings, 'warning')} about what was bundled`);
  return 0;
}

function findingMark({ rule, place }: Finding): string {
  return `${rule}\0${place.file}\0${place.start.offset}`;
}

/** `tarn-wood-tufts-0.4.0`: a version may hold what no file name should. */
function nameFor({ id, version }: Key): string {
  return `${id}-${version.replace(/[^\w.+-]+/g, '-')}`;
}

/**
 * A bundle that people may already have is not replaced by a different one of the same version: the two could not be
 * told apart.
 */
function refuseSameVersion(path: string, shown: string, bytes: Uint8Array): void {
  const there = bundleAt(path, shown)?.manifest;
  if (there === undefined) return;
  const now = bundleIn(bytes, shown).manifest;
  if (there.key.id !== now.key.id || there.key.version !== now.key.version) return;
  if (JSON.stringify(keptOf(there)) === JSON.stringify(keptOf(now))) return;
  throw new Failure(
    `${harmless(shown)} holds ${harmless(`${now.key.id} ${now.key.version}`)} already, with other content; it is left as it is`,
    { hint: 'raise the version in the key, or add --overwrite if nobody has that bundle yet' },
  );
}

/** What a bundle holds of its authors; the texts that the program adds may change with the program. */
function keptOf({ files }: Manifest): unknown[] {
  return files
    .filter((f) => f.kind !== 'authors' && f.kind !== 'read-me')
    .map(({ name, kind, sha256: sum }) => [name, kind, sum]);
}

/** A bundle is opened before it is written: it must be the very key that was put in. */
function refuseUnlessOpensAlike(bytes: Uint8Array, shown: string, chain: Chain): void {
  const bundle = bundleIn(bytes, shown);
  const { file } = bundle.manifest.key;
  const again = loadChain(bundle.text(file) ?? '', bundle.nameOf(file), bundle);
  const same = again.chain !== undefined && keyMark(again.chain).hash === keyMark(chain).hash;
  if (same) return;
  const why = again.findings.find((f) => f.level === 'error')?.message;
  throw new Failure(
    `the keys do not hold together in one bundle as they do in their folders${why === undefined ? ': another file is found under one of the names' : `: ${why}`}`,
    { hint: 'put all keys and terms into one folder, each under a name of its own' },
  );
}

/** A shelf that records the files taken from it, and which file asked for them. */
class NotingShelf implements Shelf {
  readonly #taken: { kind: 'key' | 'terms'; file: string; text: string; from: string }[] = [];

  constructor(readonly shelf: FolderShelf) {}

  key(reference: string, fromFile: string) {
    return this.#note('key', fromFile, this.shelf.key(reference, fromFile));
  }

  terms(reference: string, fromFile: string) {
    return this.#note('terms', fromFile, this.shelf.terms(reference, fromFile));
  }

  #note(kind: 'key' | 'terms', from: string, found: ReturnType<Shelf['key']>) {
    if (found.ok) this.#taken.push({ kind, file: found.file, text: found.text, from });
    return found;
  }

  /** The key itself, then everything that was taken, each once. */
  texts(file: string, text: string): readonly Omit<BundledText, 'path'>[] {
    const all = new Map<string, Omit<BundledText, 'path'>>([
      [file, { kind: 'key', file, text, from: undefined }],
    ]);
    for (const taken of this.#taken) if (!all.has(taken.file)) all.set(taken.file, taken);
    return [...all.values()];
  }
}

interface Packed {
  readonly kind: BundledKind;
  readonly bytes: Uint8Array;
}

/** Everything that goes into a bundle. */
class Contents {
  readonly findings: Finding[] = [];
  readonly remarks: string[] = [];
  readonly #files = new Map<string, Packed>();
  readonly #keys: { key: Key; name: string }[] = [];
  readonly #terms: string[] = [];
  readonly #figures: { figure: Figure; name: string }[] = [];
  readonly #licences: { id: string; name: string | undefined }[] = [];

  constructor(
    readonly chain: Chain,
    readonly texts: readonly Omit<BundledText, 'path'>[],
    readonly flags: BundleFlags,
    readonly world: World,
  ) {}

  async gather(): Promise<void> {
    const { cwd } = this.world;
    const path = (file: string) => resolve(cwd, file).split(sep).join('/');
    const texts = this.texts.map(
      (t): BundledText => ({
        ...t,
        path: path(t.file),
        from: t.from === undefined ? undefined : path(t.from),
      }),
    );
    const folders = ['keys', ...(this.flags.keys ?? [])].map(path);
    const placed = placesFor(texts, folders);
    if (!placed.ok)
      throw new Failure(
        `${harmless(placed.files[0])} and ${harmless(placed.files[1])} would both stand in the bundle as ${quoted(placed.name)}`,
        { hint: 'give one of them another name' },
      );
    for (const text of texts) {
      const name = placed.places.get(text.path) ?? '';
      this.#add(name, text.kind, new TextEncoder().encode(text.text), text.file);
      const key = this.chain.keys.find((k) => k.file === text.file);
      if (key !== undefined) this.#keys.push({ key, name });
      else this.#terms.push(name);
      this.#takeFigures(text, name, key?.yaml ?? readYaml(text.text, text.file));
    }
    for (const { key } of this.#keys) await this.#takeLicences(key);
  }

  /** The bundle itself. */
  pack(madeBy: string): {
    readonly bytes: Uint8Array;
    readonly manifestFiles: readonly { kind: BundledKind }[];
  } {
    const encoder = new TextEncoder();
    const { main } = this.chain;
    const texts: BundleContents = {
      main,
      keys: this.#keys,
      terms: this.#terms,
      figures: this.#figures,
      licences: this.#licences,
      // The number of one poison centre is of no use to whoever gets the bundle.
      cautions: cautions(undefined),
    };
    this.#add(AUTHORS, 'authors', encoder.encode(authorsText(texts)), AUTHORS);
    this.#add(README, 'read-me', encoder.encode(readMeText(texts)), README);
    const names = [...this.#files.keys()].sort();
    const files = names.map((name) => {
      const { kind, bytes } = this.#files.get(name) as Packed;
      return { name, kind, size: bytes.length, sha256: sha256(bytes) };
    });
    const { id, title, version, date } = main;
    const manifest = manifestText({
      'keywright-bundle': 1,
      'made-by': madeBy,
      key: {
        id,
        title,
        version,
        ...defined({ date }),
        file: this.#keys.find((k) => k.key === main)?.name ?? '',
      },
      files,
    });
    const all = [
      [MANIFEST, manifest] as const,
      ...names.map((n) => [n, this.#files.get(n)?.bytes ?? ''] as const),
    ];
    return { bytes: writeArchive(all), manifestFiles: files };
  }

  #add(name: string, kind: BundledKind, bytes: Uint8Array, from: string): void {
    const before = this.#files.get(name);
    if (before === undefined && name !== MANIFEST) this.#files.set(name, { kind, bytes });
    else if (before === undefined || Buffer.compare(before.bytes, bytes) !== 0)
      throw new Failure(`another file than ${harmless(from)} stands in the bundle as ${quoted(name)}`, {
        hint: 'give it another name',
      });
  }

  #takeFigures({ file }: BundledText, name: string, yaml: YamlText): void {
    const folder = dirname(resolve(this.world.cwd, file));
    for (const { figure, path } of figuresIn(withClearingQuoted(yaml.data ?? null))) {
      const found = readReferencedFile(folder, figure.file, LARGEST_FIGURE);
      if (!found.ok) {
        this.findings.push({
          rule: 'figure-exists',
          level: 'error',
          message: `figure ${quoted(figure.file)} cannot be used: ${found.problem}`,
          place: yaml.place(path),
          found: figure.file,
          expected: 'a picture file beside the key',
        });
        continue;
      }
      const inside = posix.join(posix.dirname(name), figure.file);
      this.#add(inside, 'figure', found.bytes, figure.file);
      this.#figures.push({ figure, name: inside });
    }
  }

  async #takeLicences(key: Key): Promise<void> {
    const finding = (rule: string, message: string, more: Partial<Finding> = {}): void => {
      const place = key.yaml.place(key.licence === undefined ? ['id'] : ['licence']);
      this.findings.push({ rule, level: 'error', message, place, ...more });
    };
    if (key.licence === undefined) {
      if (this.flags.withoutLicence === true) return;
      finding(
        'about-complete',
        `${key.id} names no licence, so nobody may pass it on: add a line such as "licence: CC-BY-4.0", or bundle it with --without-licence`,
        { found: 'nothing', expected: 'a licence' },
      );
      return;
    }
    const read = readLicence(key.licence);
    if (!read.ok) {
      const hint = read.nearest === undefined ? '' : `; did you mean ${read.nearest}?`;
      finding('value-form', `${read.problem}${hint}`, {
        found: key.licence,
        expected: 'SPDX names, or LicenseRef- and a word',
        ...defined({ nearest: read.nearest }),
      });
      return;
    }
    for (const id of read.ids) {
      if (this.#licences.some((l) => l.id === id)) continue;
      this.#licences.push({ id, name: await this.#licence(id, key) });
    }
  }

  /** Includes the text of a licence, where it is known or stands beside the key; gives its name in the bundle. */
  async #licence(id: string, key: Key): Promise<string | undefined> {
    const name = `${LICENCES}/${id}.txt`;
    const own = readReferencedFile(dirname(resolve(this.world.cwd, key.file)), name, LARGEST_LICENCE);
    if (own.ok) {
      this.#add(name, 'licence', own.bytes, name);
      return name;
    }
    const known = await licenceText(id);
    if (known !== undefined) {
      this.#add(name, 'licence', new TextEncoder().encode(`${signed(known.text, key).trimEnd()}\n`), name);
      return name;
    }
    this.remarks.push(
      `the text of ${id} is not included${id.startsWith('LicenseRef-') ? '' : `, it stands at https://spdx.org/licenses/${id}.html`}; put it into ${name} beside the key to have it in the bundle`,
    );
    return undefined;
  }
}

/** Some short licences name the holder of the rights; the text of the list has room for it. */
function signed(text: string, { date, authors, title }: Key): string {
  const who = authors.length === 0 ? `the authors of ${title}` : authors.join(', ');
  return text.replace(/<year>/g, date?.slice(0, 4) ?? '').replace(/<(copyright holders|owner)>/g, () => who);
}
