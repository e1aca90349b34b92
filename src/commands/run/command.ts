import { resolve } from 'node:path';
import { analyse } from '../../analysis/analysis.js';
import { UsageError } from '../../diagnostic/usage-error.js';
import type { CompiledKey } from '../../engine/compile.js';
import { programName, RecordKeeper, type ResumedKeying, resumeKeying } from '../../files/record-keeper.js';
import { isArchiveFile } from '../../files/zip-start.js';
import { openOtherKeys } from '../../inputs/correspondences.js';
import { openSoundKey } from '../../inputs/sound-key.js';
import { recordFind, withoutTraits } from '../../record/find.js';
import { type FindDetails, Keying } from '../../record/keying.js';
import { askAnyOf } from '../../terminal/key-prompt.js';
import { paintFor } from '../../terminal/paint.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { defined } from '../../text/optional.js';
import { shellWord } from '../../text/shell-word.js';
import { count } from '../../text/words.js';
import { textWidth } from '../../text/wrap.js';
import type { Collection } from '../../traits/collection.js';
import { coupletName, firstFitting } from '../../words/couplet.js';
import { cautionSection, fullLines, shortLines } from '../../words/determination.js';
import { MORE } from '../../words/summary.js';
import { type KeyingEnd, keyByKeys } from './by-keys.js';
import { keyByLines } from './by-lines.js';
import { askDetails, plainLine, problemOf } from './details.js';
import { Talk } from './talk.js';
import { findIn } from './with-find.js';

/** The options of `run`. */
interface RunOptions {
  readonly with?: string;
  readonly strictColumns?: boolean;
  readonly record?: string;
  readonly resume?: string;
  readonly keys?: readonly string[];
  readonly id?: string;
  readonly by?: string;
  readonly place?: string;
  readonly date?: string;
  readonly habitat?: string;
  readonly foundBy?: string;
  readonly changedKey?: boolean;
  /** Whether everything is said of the result. */
  readonly full?: boolean;
  readonly photograph?: readonly string[];
  readonly correspondences?: readonly string[];
}

/** The same in a terminal, the first that fits. */
const MORE_KEYS = ['F everything that is known of it   Enter ends', 'F everything   Enter ends'];
/** Asked below a result that the window cannot hold. */
const GO_ON = 'Enter goes on';

/** Runs a key couplet by couplet with a person, or with answers from a pipe, and shows what the find came to. */
export async function action(
  [reference = '']: readonly string[],
  options: RunOptions,
  world: World,
): Promise<number> {
  const { resume, record = resume } = options;
  const archived = resume !== undefined && isArchiveFile(resolve(world.cwd, resume));
  if (resume !== undefined && (options.with !== undefined || (options.id !== undefined && !archived)))
    throw new UsageError(
      `--resume goes on with the find of the record; leave ${options.with === undefined ? '--id' : '--with'} out`,
      'run',
    );
  if (archived && options.record === undefined)
    throw new UsageError(
      'nothing is added to an archive of finds; say with --record FILE where the determination is kept',
      'run',
    );
  if (resume !== undefined && options.photograph !== undefined)
    throw new UsageError('--photograph is for a new determination; leave --resume out', 'run');
  if (options.correspondences !== undefined && options.with === undefined)
    throw new UsageError('--correspondences is for --with FILE', 'run');
  if (options.changedKey === true && resume === undefined)
    throw new UsageError('--changed-key is for --resume FILE', 'run');
  const by = nameOf(options.by ?? world.env.KEYWRIGHT_BY);
  if (options.by !== undefined && by === undefined)
    throw new UsageError('--by is blank; expected the name of whoever makes the determination', 'run');
  const problem = problemOf('date', options.date ?? '2026');
  if (problem !== undefined) throw new UsageError(`--date: ${problem}`, 'run');
  const key = await openSoundKey(reference, options.keys, world);
  if (key === undefined) return 2;
  if (record === undefined) return keyOut(reference, key, options, by, undefined, world);
  const keeper = new RecordKeeper(record, world.cwd);
  // Whoever sits at a terminal hears at once that somebody else has the record.
  const lock = keeper.hold(world.isTTY.stdin ? 1000 : undefined);
  try {
    return await keyOut(reference, key, options, by, keeper, world);
  } finally {
    lock.release();
  }
}

/** Keys out one find, and keeps the determination where a keeper is given. */
async function keyOut(
  reference: string,
  key: CompiledKey,
  options: RunOptions,
  by: string | undefined,
  keeper: RecordKeeper | undefined,
  world: World,
): Promise<number> {
  const { resume, record = resume } = options;
  const given = detailsGiven(options);
  const copied = resume !== undefined && resume !== keeper?.file && keeper?.isThere === false;
  const begun =
    resume === undefined
      ? await begin(key, options, given, by, keeper, world)
      : goOn(
          resumeKeying(resume, key, { by, changedKey: options.changedKey, id: options.id }, world),
          resume,
          keeper,
          given,
        );
  if (begun === undefined) return 2;
  const { keying, news } = begun;
  let { touched } = begun;
  const save = () => {
    touched = true;
    keeper?.save(keying.record());
  };
  const keys = drawsKeys(world);
  const talk = new Talk(keying, world, await paintFor(world.colour.stderr), keys ? 'press S' : 'answer stop');
  talk.opening();
  for (const text of news) talk.say(harmless(text));
  if (keying.answers.length > 0) {
    talk.say(`Going on after ${count(keying.answers.length, 'answer')}:`);
    talk.path();
  }
  talk.notes();
  const again = `keywright run ${shellWord(reference)}${record === undefined ? '' : ` --resume ${shellWord(record)}`}`;
  const kept =
    record === undefined ? undefined : harmless(`The record is kept in ${record}; go on with: ${again}`);
  let ending: KeyingEnd;
  try {
    const asks = keys && keeper !== undefined && resume === undefined && !keeper.isThere;
    // Not before the first answer when going on: a record that was only looked at stays as it is.
    if (resume === undefined) save();
    if (asks) {
      keying.describe(await askDetails(talk, by));
      save();
    }
    talk.scope();
    ending = await (keys ? keyByKeys(talk, save) : keyByLines(talk, save));
  } catch (error) {
    if (error instanceof Error && error.name === 'ExitPromptError') {
      talk.say(`Interrupted. ${kept ?? 'Nothing was kept: there was no --record.'}`);
      return 130;
    }
    throw error;
  }
  const { ask, possible } = keying.standing;
  if (ending === 'finished') {
    const found = keying.finish();
    if (touched) save();
    const paint = await paintFor(world.colour.stdout);
    const setting = { width: textWidth(world.columns('stdout')), paint };
    if (world.isTTY.stderr) talk.lines(['']);
    const analysis = analyse(found);
    const words = {
      open: keying.standing.open,
      doubted: keying.doubted.map((a) => `${coupletName(a.couplet)}${a.lead}`),
    };
    const centre = world.env.KEYWRIGHT_POISON_CENTRE;
    const full = () => [...fullLines(analysis, setting, words), ...cautionSection(centre, setting)];
    const asks = keys && world.isTTY.stdout && options.full !== true;
    // Below it stands the prompt.
    const most = asks ? (world.rows() ?? 24) - 1 : undefined;
    const short = () => shortLines(analysis, setting, centre, words, asks ? undefined : MORE, most);
    const lines = options.full === true ? full() : short();
    // The verdict stands at the top, and must not leave a small window unread.
    const page = most === undefined || lines.length <= most ? lines.length : most;
    world.stdout.write(`${lines.slice(0, page).join('\n')}\n`);
    if (page < lines.length) {
      await askAnyOf([], GO_ON, world);
      world.stdout.write(`${lines.slice(page).join('\n')}\n`);
    }
    if (asks && (await askAnyOf(['f'], firstFitting(MORE_KEYS, setting.width), world)) === 'f')
      world.stdout.write(`\n${full().join('\n')}\n`);
    if (record !== undefined)
      talk.say(
        touched
          ? `The record is kept in ${harmless(record)}.`
          : copied
            ? `Nothing new was answered; ${harmless(record)} holds the record as it is in ${harmless(resume ?? '')}.`
            : `Nothing new was answered, so ${harmless(record)} stays as it is.`,
      );
    return 0;
  }
  const at = ask === undefined ? 'at the end' : `at couplet ${coupletName(ask.couplet.name)}`;
  const state = `${at}, after ${count(keying.answers.length, 'answer')}, with ${count(possible.length, 'taxon', 'taxa')} still possible`;
  if (ending === 'left') {
    talk.say(harmless(`Left off ${state}.`));
    talk.say(kept ?? 'Nothing was kept: give --record FILE to keep a determination and go on another day.');
    return 0;
  }
  talk.say(harmless(`keywright: the answers ran out ${state}`));
  if (kept !== undefined) talk.say(kept);
  return 2;
}

/** A keying that is about to be asked. */
interface Begun {
  readonly keying: Keying;
  readonly news: readonly string[];
  /** Whether there is anything to be kept already. */
  readonly touched: boolean;
}

/** Goes on with what was taken up from a record, in that record or in another. */
function goOn(
  { keying, news, which, changed, read }: ResumedKeying,
  from: string,
  keeper: RecordKeeper | undefined,
  given: FindDetails,
): Begun {
  const begun = { keying, news, touched: which === 'last' || changed };
  keying.describe(given);
  if (keeper === undefined) return begun;
  if (keeper.file === from) keeper.takeOver(read, read.text, which);
  else if (keeper.isThere) return { ...begun, news: [...news, ...keeper.claim(keying.start.find)] };
  // Also when nothing more is answered, the record is where it was said to be kept.
  else keeper.copy(read, which);
  return begun;
}

/** A new keying: of a find from a table, or of one that nothing is known of yet. */
async function begin(
  key: CompiledKey,
  options: RunOptions,
  given: FindDetails,
  by: string | undefined,
  keeper: RecordKeeper | undefined,
  world: World,
): Promise<Begun | undefined> {
  const now = world.now();
  const files = await openOtherKeys(options.correspondences, key, options.keys, world);
  if (files === undefined) return undefined;
  let collection =
    options.with === undefined
      ? newFind(options.id ?? `${now.toISOString().slice(0, 16).replace('T', ' ')} UTC`)
      : await findIn(options.with, options.id, key, files, world, options.strictColumns);
  if (collection === undefined) return undefined;
  collection = withPhotographs({ ...collection, ...given }, options.photograph);
  const news = keeper?.claim(recordFind(collection, key.chain)) ?? [];
  // Where and when it was found is known from the record; what was seen is seen anew.
  if (options.with === undefined && keeper?.collection !== undefined)
    collection = withPhotographs({ ...withoutTraits(keeper.collection), ...given }, options.photograph);
  const start = {
    started: now.toISOString(),
    ...defined({ by }),
    find: recordFind(collection, key.chain),
  };
  const keying = new Keying(key, collection, start, programName(world), () => world.now());
  return { keying, news, touched: true };
}

/** What the options say of where, when and by whom the find was found, and on what it grew. */
function detailsGiven({ place, date, habitat, foundBy }: RunOptions): FindDetails {
  const given = { place, date, by: foundBy, habitat };
  return Object.fromEntries(
    Object.entries(given).flatMap(([name, text = '']) =>
      plainLine(text) === '' ? [] : [[name, plainLine(text)]],
    ),
  );
}

/** A name on one line; undefined when there is none. */
function nameOf(name: string | undefined): string | undefined {
  const plain = name?.replace(/\s+/g, ' ').trim();
  return plain === '' ? undefined : plain;
}

/** A find with further photographs, each once. */
function withPhotographs(collection: Collection, files: readonly string[] = []): Collection {
  const { photographs = [] } = collection;
  const fresh = [...new Set(files)].filter((file) => !photographs.some((p) => p.file === file));
  if (fresh.length === 0) return collection;
  return { ...collection, photographs: [...photographs, ...fresh.map((file) => ({ file }))] };
}

function newFind(id: string): Collection {
  return { id, observations: [], choices: [], stages: [], expect: [] };
}

/** Whether key presses can be read and a prompt drawn. */
function drawsKeys(world: World): boolean {
  return world.isTTY.stdin && world.isTTY.stderr && world.env.TERM !== 'dumb';
}
