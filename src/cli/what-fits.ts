/** What fits at the end of a command line: shells ask it for completion. */
import { resolve } from 'node:path';
import type { CommandEntry, OptionEntry } from '../commands/command.js';
import { SHELLS } from '../commands/completion/shells.js';
import { keyPlaces } from '../files/key-places.js';
import type { World } from '../terminal/world.js';
import { PROGRAM_OPTIONS } from './help.js';

/** What a shell adds of its own. */
type Own = 'nothing' | 'files' | 'folders';

/** A word that fits, and what it means where the word does not say it. */
type Fit = readonly [word: string, help?: string | undefined];

interface Fits {
  readonly own: Own;
  readonly words: readonly Fit[];
}

/**
 * Words that are no more than words to every shell, whatever it leaves unquoted; but for spaces, which all of them quote.
 * A key is also found by the name of its file, and that may be anything.
 */
const INERT = /^[\p{L}\p{M}\p{N} ._/=+,@%:-]*$/u;

const NOTHING: Fits = { own: 'nothing', words: [] };

/**
 * Writes what fits in place of the last of some words; the words before it stand between the name of the program and the
 * cursor. The first line says what the shell adds of its own: `files`, `folders` or `nothing`. Then comes a line for each
 * word that begins as the last one does; a tab and what it means may follow. `shell` is `bash` when the words are still quoted and cut as bash has them.
 */
export async function writeFits(
  [shell, ...given]: readonly string[],
  world: World,
  commands: readonly CommandEntry[],
): Promise<number> {
  const { words, cut } = shell === 'bash' ? asTyped(given) : { words: given, cut: 0 };
  const now = words.at(-1) ?? '';
  const { own, words: all } = await new Line(world, commands).after(words.slice(0, -1), now);
  const fits = all.filter(([word]) => word.startsWith(now) && INERT.test(word));
  const lines = fits.map(([word, help]) => word.slice(cut) + (help === undefined ? '' : `\t${help}`));
  world.stdout.write([own, ...lines].map((line) => `${line}\n`).join(''));
  return 0;
}

/** A command line as far as it is written. */
class Line {
  #command: CommandEntry | undefined;
  #operands = 0;
  /** Whether `--` stood before: nothing that follows is an option. */
  #plain = false;
  readonly #folders: string[];

  constructor(
    readonly world: World,
    readonly commands: readonly CommandEntry[],
  ) {
    this.#folders = keyPlaces(world);
  }

  async after(before: readonly string[], now: string): Promise<Fits> {
    let waiting: OptionEntry | undefined;
    for (const word of before) {
      if (waiting !== undefined) {
        this.#given(waiting, word);
        waiting = undefined;
      } else if (word === '--' && !this.#plain) this.#plain = true;
      else if (this.#isOption(word)) {
        const { option, value } = this.#option(word);
        if (option !== undefined && value === undefined) waiting = option;
        else if (option !== undefined && value !== undefined) this.#given(option, value);
      } else if (this.#command !== undefined) this.#operands++;
      else {
        this.#command = [...this.commands, HELP].find((c) => c.name === word);
        if (this.#command === undefined) return NOTHING;
      }
    }
    if (waiting !== undefined) return this.#value(waiting, now);
    if (!this.#isOption(now)) return this.#operand(now);
    const { option, name, value } = this.#option(now);
    if (value === undefined)
      return {
        own: 'nothing',
        words: this.#options().flatMap((o) => namesOf(o).map((n) => [n, o.help] as const)),
      };
    if (option === undefined) return NOTHING;
    const { own, words } = await this.#value(option, value);
    return {
      own,
      words: words.map(([word, help]) => [`${name}=${word}`, help]),
    };
  }

  #isOption(word: string): boolean {
    return word.startsWith('-') && !this.#plain;
  }

  #options(): readonly OptionEntry[] {
    if (this.#command === undefined) return PROGRAM_OPTIONS;
    return [...this.#command.options, ...PROGRAM_OPTIONS.filter((o) => !o.flags.includes('--version'))];
  }

  /** The option that takes a value which a word names, and the value where the word has it. */
  #option(word: string): { name: string; option: OptionEntry | undefined; value: string | undefined } {
    const at = word.startsWith('--') ? word.indexOf('=') : -1;
    const name = at < 0 ? word : word.slice(0, at);
    const option = this.#options().find((o) => valueName(o) !== undefined && namesOf(o).includes(name));
    return { name, option, value: at < 0 ? undefined : word.slice(at + 1) };
  }

  #given(option: OptionEntry, value: string): void {
    if (namesOf(option).includes('--keys')) this.#folders.push(this.#path(value));
  }

  /** A path as a shell reads it. */
  #path(written: string): string {
    const home = this.world.env.HOME;
    return home !== undefined && /^~(\/|$)/.test(written)
      ? home + written.slice(1)
      : resolve(this.world.cwd, written);
  }

  async #value(option: OptionEntry, now: string): Promise<Fits> {
    const place = valueName(option) ?? '';
    if (option.choices !== undefined) return only(option.choices);
    if (/^(DIR|FOLDER)/.test(place)) return { own: 'folders', words: [] };
    if (/^(KEY|OLD|NEW)/.test(place)) return this.#keys(now);
    return /^(FILE|TABLE|LIST)/.test(place) ? { own: 'files', words: [] } : NOTHING;
  }

  async #operand(now: string): Promise<Fits> {
    if (this.#command === undefined)
      return { own: 'nothing', words: [...this.commands, HELP].map((c) => [c.name, c.summary]) };
    const all = this.#command.arguments;
    const last = all.at(-1)?.name.includes('...') === true ? all.at(-1) : undefined;
    const name = (all[this.#operands] ?? last)?.name.replace(/[[\].]/g, '');
    switch (name) {
      case undefined:
        return NOTHING;
      case 'KEY':
      case 'OLD':
      case 'NEW':
        return this.#keys(now);
      case 'TOPIC': {
        const { rules } = await import('../lint/rules/index.js');
        const { topics } = await import('../commands/explain/topics/index.js');
        const pages = topics.map((t) => [t.name, t.title] as const);
        return { own: 'nothing', words: [...pages, ...rules.map((r) => [r.id] as const)] };
      }
      case 'SHELL':
        return only(SHELLS);
      case 'COMMAND':
        return { own: 'nothing', words: this.commands.map((c) => [c.name, c.summary]) };
      default:
        return { own: 'files', words: [] };
    }
  }

  /** The ids of keys, or, once the name of a bundle is written, the keys in it. */
  async #keys(now: string): Promise<Fits> {
    const [, bundle] = /^(.*\.zip)\//.exec(now) ?? [];
    if (bundle !== undefined) {
      const names = await keysInBundle(this.#path(bundle));
      return { own: 'files', words: names.map((name) => [`${bundle}/${name}`]) };
    }
    const { keyIdsIn } = await import('../files/key-id.js');
    const ids = new Set<string>();
    for (const folder of this.#folders) {
      try {
        for (const id of keyIdsIn(folder).keys()) ids.add(id);
      } catch {
        // A folder that cannot be read is reported when a key is asked for in it.
      }
    }
    return { own: 'files', words: [...ids].map((id) => [id]) };
  }
}

/** The keys in a bundle, by what its archive lists; none when it is no archive that can be read. */
async function keysInBundle(path: string): Promise<string[]> {
  const { isArchiveFile } = await import('../files/zip-start.js');
  if (!isArchiveFile(path)) return [];
  const { Archive, SMALL_ARCHIVE } = await import('../archive/archive.js');
  const { fileSource } = await import('../files/file-source.js');
  const { KEY_ENDING } = await import('../files/key-id.js');
  const source = fileSource(path, path);
  try {
    return new Archive(source, path, SMALL_ARCHIVE).names.filter((name) => name.endsWith(KEY_ENDING));
  } catch {
    return []; // What is wrong with it is said when it is opened.
  } finally {
    source.close();
  }
}

/** `help` is not in the table of commands. */
const HELP: CommandEntry = {
  name: 'help',
  purpose: 'shell',
  summary: 'Show the help of a command.',
  arguments: [{ name: '[COMMAND]', help: '' }],
  options: [],
  load: () => Promise.reject(new Error('help is no command of its own')),
};

function only(words: readonly string[]): Fits {
  return { own: 'nothing', words: words.map((word) => [word]) };
}

/** `-o`, `--out`. */
function namesOf({ flags }: OptionEntry): string[] {
  return [...flags.matchAll(/(?<![\w-])--?[a-zA-Z][\w-]*/g)].map((m) => m[0]);
}

/** What its value is called in capitals; undefined when it takes none. */
function valueName({ flags }: OptionEntry): string | undefined {
  return /<([^>]+)>/.exec(flags)?.[1];
}

/**
 * Words as they were typed. bash cuts them at `=` and `:` and keeps their quotes; `cut` is the length of what bash takes
 * for words of their own before the last one.
 */
function asTyped(pieces: readonly string[]): { words: string[]; cut: number } {
  const words: string[] = [];
  let cut = 0;
  let joins = false;
  for (const piece of pieces) {
    const sign = /^[=:]+$/.test(piece);
    if ((joins || sign) && words.length > 0) {
      const before = words.pop() ?? '';
      cut = before.length;
      words.push(before + unquoted(piece));
    } else {
      cut = 0;
      words.push(unquoted(piece));
    }
    joins = sign;
  }
  return { words, cut };
}

/** A word without the quotes and backslashes of a shell; what it would put in place of `$` and the like stays as written. */
function unquoted(word: string): string {
  return word.replace(
    /\\(.)|'([^']*)(?:'|$)|"((?:[^"\\]|\\.)*)(?:"|$)/gs,
    (_, one?: string, single?: string, double?: string) =>
      one ?? single ?? (double ?? '').replace(/\\(["\\$`])/g, '$1'),
  );
}
