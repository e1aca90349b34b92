import { resolve } from 'node:path';
import { Failure } from '../diagnostic/failure.js';
import { UsageError } from '../diagnostic/usage-error.js';
import { isFolder, keysBelow, nearestAbove } from '../files/key-files.js';
import { wholeText } from '../files/pieces.js';
import type { FolderShelf } from '../files/shelf.js';
import { readText } from '../files/texts.js';
import { LARGEST_TEXT } from '../key/document.js';
import type { Shelf } from '../key/load.js';
import type { LintInput } from '../lint/lint.js';
import type { Unreadable } from '../lint/report/result.js';
import { CONFIG_NAME, type KnownRules, readSetting, readSettings, type Settings } from '../lint/settings.js';
import type { World } from '../terminal/world.js';
import { harmless } from '../text/harmless.js';

/** The inputs named on the command line, read. */
interface Inputs {
  readonly inputs: readonly LintInput[];
  readonly unreadable: readonly Unreadable[];
  /** The folders that were searched. */
  readonly folders: readonly string[];
}

/** Reads what a person named: key files, ids of keys, folders of keys, and `-` for the text that came on stdin. */
export async function readInputs(
  names: readonly string[],
  shelf: FolderShelf,
  world: World,
  stdin: LintInput | undefined,
): Promise<Inputs> {
  const inputs = new Map<string, LintInput>();
  const unreadable: Unreadable[] = [];
  const folders: string[] = [];
  const attempt = async (file: string, work: () => void | Promise<void>): Promise<void> => {
    try {
      await work();
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      const hint = error.hint === undefined ? '' : ` (${error.hint})`;
      unreadable.push({ file, problem: error.message + hint });
    }
  };
  const read = (file: string): void => {
    if (!inputs.has(file)) inputs.set(file, { file, text: shelf.text(file) });
  };
  for (const name of names) {
    if (name === '-' && stdin !== undefined) {
      inputs.set(stdin.file, stdin);
    } else if (isFolder(resolve(world.cwd, name))) {
      await attempt(name, async () => {
        const found = keysBelow(name, world.cwd);
        folders.push(...found.folders);
        if (found.files.length === 0)
          throw new Failure(`${harmless(name)} holds no key (no file *.key.yaml)`);
        for (const file of found.files) await attempt(file, () => read(file));
      });
    } else await attempt(name, async () => read(await shelf.opened(name)));
  }
  return { inputs: [...inputs.values()], unreadable, folders };
}

/** Reads the text that comes on stdin, as far as a key may be long. */
export async function readStdin(world: World, name: string): Promise<LintInput> {
  const text = await wholeText(world.stdin, name, LARGEST_TEXT);
  return { file: name, text };
}

/** The levels of rules for each file: those of the command line, else those of the nearest settings file. */
export class SettingsOfFiles {
  readonly #flags: Settings;
  readonly #byFile = new Map<string, Settings>();
  readonly #byConfig = new Map<string, Settings>();
  /** What is wrong with settings files. */
  readonly problems: Unreadable[] = [];

  constructor(
    flags: readonly string[],
    readonly known: KnownRules,
    readonly world: World,
  ) {
    this.#flags = new Map(
      flags.map((flag) => {
        const read = readSetting(flag, known);
        if (typeof read === 'string') throw new UsageError(`--rule: ${read}`, 'lint');
        return read;
      }),
    );
  }

  /** The settings files that were read. */
  get files(): readonly string[] {
    return [...this.#byConfig.keys()];
  }

  of(file: string): Settings {
    let settings = this.#byFile.get(file);
    if (settings === undefined) {
      const config = nearestAbove(CONFIG_NAME, file, this.world.cwd);
      settings = new Map([...(config === undefined ? [] : this.#read(config)), ...this.#flags]);
      this.#byFile.set(file, settings);
    }
    return settings;
  }

  #read(config: string): Settings {
    const known = this.#byConfig.get(config);
    if (known !== undefined) return known;
    let settings: Settings = new Map();
    try {
      const read = readSettings(readText(resolve(this.world.cwd, config), config), config, this.known);
      settings = read.settings;
      for (const { place, message } of read.findings)
        this.problems.push({
          file: config,
          problem: `${config}:${place.start.line}:${place.start.column} ${message}`,
        });
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      this.problems.push({ file: config, problem: error.message });
    }
    this.#byConfig.set(config, settings);
    return settings;
  }
}

/** A shelf that records the files taken from it. */
export function recording(shelf: Shelf, taken: Set<string>): Shelf {
  const noted: Shelf['key'] = (reference, fromFile) => note(shelf.key(reference, fromFile));
  const note = (found: ReturnType<Shelf['key']>) => {
    if (found.ok) taken.add(found.file);
    return found;
  };
  return { key: noted, terms: (reference, fromFile) => note(shelf.terms(reference, fromFile)) };
}
