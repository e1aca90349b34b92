import { basename, dirname, join, relative, resolve } from 'node:path';
import { Failure } from '../../diagnostic/failure.js';
import { UsageError } from '../../diagnostic/usage-error.js';
import { writeNew } from '../../files/atomic-write.js';
import { isFolder } from '../../files/key-files.js';
import { isFile } from '../../files/texts.js';
import { keyShelf } from '../../inputs/key-shelf.js';
import { readLicence } from '../../key/licences.js';
import { asker, type Prompt } from '../../terminal/questions.js';
import type { World } from '../../terminal/world.js';
import { harmless, quoted } from '../../text/harmless.js';
import { defined } from '../../text/optional.js';
import { slug } from '../../text/slug.js';
import { readCharacterList, type SkeletonInput, skeleton } from './skeleton.js';

/** The options of `new`. */
interface NewFlags {
  readonly title?: string;
  readonly group?: string;
  readonly region?: readonly string[];
  readonly characters?: string;
  readonly lead?: readonly string[];
  readonly author?: string;
  readonly licence?: string;
}

const ENDING = '.key.yaml';

/** Begins a key: a sound file with comments, which is written only where no file is. */
export async function action([file]: readonly string[], flags: NewFlags, world: World): Promise<number> {
  const path = file === undefined ? undefined : keyPath(file, world);
  if (path !== undefined) refuseTaken(path, world);
  const answers = flags.title === undefined ? await asked(flags, world) : fromFlags(flags, flags.title);
  const target =
    path ?? join(isFolder(resolve(world.cwd, 'keys')) ? 'keys' : '.', `${idFor(answers.title)}${ENDING}`);
  if (path === undefined) refuseTaken(target, world);
  const id = slug(basename(target).slice(0, -ENDING.length));
  const input: SkeletonInput = { ...answers, id, date: world.now().toISOString().slice(0, 10) };
  writeNew(resolve(world.cwd, target), skeleton(input), target);
  world.stderr.write(harmless(`${target} written. Next: keywright lint ${target}`) + '\n');
  return 0;
}

/** The path that a person named, with the ending of key files. */
function keyPath(file: string, world: World): string {
  if (isFolder(resolve(world.cwd, file)))
    throw new Failure(`${file} is a folder; give the key file a name in it`);
  const name = basename(file);
  const path = name.endsWith(ENDING) ? file : `${file}${ENDING}`;
  if (!name.endsWith(ENDING) && /\.ya?ml$/.test(name))
    throw new UsageError(`a key file is called NAME${ENDING}, not ${quoted(name)}`, 'new');
  const stem = basename(path).slice(0, -ENDING.length);
  if (slug(stem) !== stem)
    throw new UsageError(
      `the name of the file gives the key its id: lower-case letters, digits and hyphens, not ${quoted(stem)}${slug(stem) === '' ? '' : ` (${slug(stem)} would do)`}`,
      'new',
    );
  return path;
}

function idFor(title: string): string {
  const id = slug(title);
  if (id !== '') return id;
  throw new UsageError('no file name can be made from this title; give FILE', 'new');
}

/** Throws a Failure where the file, or a key of its id, is there already. */
function refuseTaken(path: string, world: World): void {
  const whole = resolve(world.cwd, path);
  if (isFile(whole))
    throw new Failure(`${path} is there already; it is left as it is`, { hint: 'give another name' });
  const id = basename(path).slice(0, -ENDING.length);
  const shelf = keyShelf(world);
  const known = shelf.key(id, relative(world.cwd, join(dirname(whole), `${id}${ENDING}`)));
  if (known.ok)
    throw new Failure(`${known.file} has the id ${id} already, and one id must not mean two keys`, {
      hint: 'give another name',
    });
}

type Answers = Omit<SkeletonInput, 'id' | 'date'>;

const wrongTitle = (answer: string) => (answer === '' ? 'a key needs a title' : undefined);

// As the schema has it: ISO 3166 countries and their parts, WGSRPD areas.
const REGION = /^([A-Z]{2}(-[A-Z0-9]{1,3})?|[1-9][0-9]?|[A-Z]{3}(-[A-Z]{2})?)$/;

function wrongRegions(answer: string): string | undefined {
  const bad = regionsIn(answer).find((r) => !REGION.test(r));
  return bad === undefined
    ? undefined
    : `${quoted(bad)} is not a region code such as GB, GB-CMA (ISO 3166) or GRB (WGSRPD)`;
}

function regionsIn(answer: string): string[] {
  return answer.split(/[\s,;]+/).filter((r) => r !== '');
}

function wrongCharacters(answer: string): string | undefined {
  const read = readCharacterList(answer);
  return typeof read === 'string' ? read : undefined;
}

function wrongLicence(answer: string): string | undefined {
  if (answer === '') return undefined;
  const read = readLicence(answer);
  if (read.ok) return undefined;
  return `${read.problem}${read.nearest === undefined ? '' : `; did you mean ${read.nearest}?`}`;
}

function charactersIn(answer: string): Answers['characters'] {
  const read = readCharacterList(answer);
  return typeof read === 'string' ? [] : read;
}

async function asked(flags: NewFlags, world: World): Promise<Answers> {
  const known = fromFlags(flags, '');
  const who = asker(world);
  const ask = (asks: string, hint: string, wrong: Prompt['wrong'] = () => undefined) =>
    who.ask({ asks, hint, wrong });
  try {
    const title = await ask(
      'Title of the key',
      'Which organisms, on what, where; as it would stand on paper.',
      wrongTitle,
    );
    const group =
      known.group ??
      (await ask(
        'Group',
        'For which organisms it is, in words that let a reader decide. Enter leaves it open.',
      ));
    const regions =
      known.regions.length > 0
        ? known.regions
        : regionsIn(
            await ask(
              'Regions',
              'Codes such as GB-CMA, several with commas. Enter leaves it open.',
              wrongRegions,
            ),
          );
    const characters =
      known.characters.length > 0
        ? known.characters
        : charactersIn(
            await ask(
              'Characters',
              'What you will look at, each with its states: "spore print: white, rust; ring: present, absent". Enter puts a stand-in there.',
              wrongCharacters,
            ),
          );
    let { leads } = known;
    if (leads === undefined) {
      const first = await ask(
        'First lead',
        'The first couplet, in words: "Ring present". Enter makes it of the first character.',
      );
      const needed = (answer: string) => (answer === '' ? 'a lead needs its contrast' : undefined);
      if (first !== '')
        leads = [first, await ask('Second lead', 'The contrast to it: "Ring absent".', needed)];
    }
    const { author } = known;
    const licence =
      known.licence ??
      (await ask(
        'Licence',
        'On what terms others may pass the key on, as an SPDX name: CC-BY-4.0, CC0-1.0. Enter leaves it open; nobody can bundle the key then.',
        wrongLicence,
      ));
    return {
      title,
      regions,
      characters,
      ...defined({ group: group || undefined, leads, author, licence: licence || undefined }),
    };
  } finally {
    await who.end();
  }
}

function fromFlags(
  { group, region = [], characters = '', lead, author, licence }: NewFlags,
  title: string,
): Answers {
  const regions = region.flatMap(regionsIn);
  const problem =
    wrongRegions(regions.join(',')) ?? wrongCharacters(characters) ?? wrongLicence(licence ?? '');
  if (problem !== undefined) throw new UsageError(problem, 'new');
  if (lead !== undefined && (lead.length !== 2 || lead.some((l) => l.trim() === '')))
    throw new UsageError('--lead is given twice, once for each lead of the first couplet', 'new');
  const leads = lead as [string, string] | undefined;
  return {
    title,
    regions,
    characters: charactersIn(characters),
    ...defined({ group, leads, author, licence }),
  };
}
