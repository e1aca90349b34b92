import { basename, resolve } from 'node:path';
import { measure } from '../../analysis/key-measures.js';
import { Failure } from '../../diagnostic/failure.js';
import { UsageError } from '../../diagnostic/usage-error.js';
import { OutFile } from '../../files/out.js';
import { wholeText } from '../../files/pieces.js';
import { readKeyText } from '../../files/shelf.js';
import { keyShelf } from '../../inputs/key-shelf.js';
import { loadChain } from '../../key/chain.js';
import { LARGEST_TEXT } from '../../key/document.js';
import type { World } from '../../terminal/world.js';
import { harmless, quoted } from '../../text/harmless.js';
import { defined } from '../../text/optional.js';
import { slug } from '../../text/slug.js';
import { findingCount, findingLines } from '../../words/findings.js';
import { checkOut } from '../output.js';
import { withAllowances } from './allowances.js';
import { type DraftResult, draftKey, type Preference, STANDARD } from './draft.js';
import { formOf } from './form.js';
import { filled, leadWordsOf } from './lead-words.js';
import { revise } from './revise/action.js';
import { readTaxaTable } from './table.js';
import { draftText } from './text.js';

/** The options of `draft`. */
interface DraftFlags {
  readonly characters?: string;
  readonly prefer?: readonly Preference[];
  readonly lookAhead: number;
  readonly leads: number;
  readonly couplets?: number;
  readonly out?: string;
  readonly overwrite?: boolean;
  readonly revise?: string;
  readonly write?: boolean;
  readonly ask?: readonly string[];
  readonly language?: string;
  readonly id?: string;
  readonly title?: string;
  readonly group?: string;
  readonly region?: readonly string[];
  readonly author?: string;
}

const ENDING = '.key.yaml';
const LANGUAGE = /^[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,8})*$/;

/** Drafts a key from a table of described taxa. 0 = drafted, 2 = the table has errors, or nothing in it separates its taxa. */
export async function action(
  [name = '']: readonly string[],
  flags: DraftFlags,
  world: World,
): Promise<number> {
  const say = (line: string) => void world.stderr.write(`${line}\n`);
  checkOut(flags, 'draft');
  checkRevise(flags);
  if (flags.out !== undefined && !basename(flags.out).endsWith(ENDING))
    throw new UsageError(`a key file is called NAME${ENDING}, not ${quoted(basename(flags.out))}`, 'draft');
  if (flags.language !== undefined && !LANGUAGE.test(flags.language))
    throw new UsageError(
      `--language takes a language tag such as en or de, not ${quoted(flags.language)}`,
      'draft',
    );
  const file = harmless(name === '-' ? 'stdin' : name);
  const out = flags.out === undefined ? undefined : new OutFile(world.cwd, flags.out, flags.overwrite);
  const text =
    name === '-'
      ? await wholeText(world.stdin, 'the standard input', LARGEST_TEXT)
      : readKeyText(resolve(world.cwd, name), file);
  const { characters, ask: asCharacter = [] } = flags;
  const form = formOf(name, text);
  if (form === 'yaml' && asCharacter.length > 0)
    throw new UsageError('--ask is for a column of a CSV or TSV table', 'draft');
  const terms =
    characters === undefined
      ? undefined
      : { file: characters, text: readKeyText(resolve(world.cwd, characters), harmless(characters)) };
  const read = readTaxaTable({ file, text }, form, keyShelf(world), terms, asCharacter);
  const how = {
    prefer: flags.prefer ?? STANDARD,
    lookAhead: flags.lookAhead,
    mostLeads: flags.leads,
    ...defined({ mostCouplets: flags.couplets }),
  };
  if (flags.revise !== undefined) return revise(flags.revise, read, how, flags, world);
  out?.check();
  const language = read.table?.key.language ?? flags.language;
  const draft = draftKey(read, {
    ...how,
    by: world.version,
    head: headOf(flags, name, language, world),
  });
  for (const line of findingLines(draft.findings)) say(line);
  if (draft.drafted === undefined) return notDrafted(draft, file, say);
  const finished = withAllowances(draft.drafted.text, draft.drafted.account.astray, language);
  const target = flags.out ?? 'draft.key.yaml';
  const { chain, findings } = loadChain(finished, target, keyShelf(world));
  // What this program writes it can read; anything else is a fault of its own, told with the place.
  if (chain === undefined) throw new Error(findingLines(findings).join('\n'));
  for (const line of draftText(draft.drafted.account, measure(chain, false), draft.remarks))
    say(`keywright: ${line}`);
  if (flags.out === undefined) {
    world.stdout.write(finished);
    return 0;
  }
  out?.write(finished);
  say(`keywright: ${harmless(flags.out)} written. Next: keywright lint ${harmless(flags.out)}`);
  return 0;
}

/** What only a new key takes, and what only one that is there. */
function checkRevise(flags: DraftFlags): void {
  if (flags.revise === undefined) {
    if (flags.write === true) throw new UsageError('--write is for --revise KEY', 'draft');
    return;
  }
  const head = (['id', 'title', 'group', 'region', 'author', 'language'] as const).find(
    (name) => flags[name] !== undefined,
  );
  if (head !== undefined)
    throw new UsageError(`--${head} is for a new key; --revise leaves the head of the key as it is`, 'draft');
  if (flags.write === true && flags.out !== undefined)
    throw new UsageError(
      '--write changes the key itself, --out writes another file: give one of them',
      'draft',
    );
}

function notDrafted(draft: DraftResult, file: string, say: (line: string) => void): number {
  const errors = draft.findings.filter((f) => f.level === 'error');
  if (errors.length > 0) {
    say(`keywright: no key can be drafted from ${file}: ${findingCount(errors)} must be fixed first`);
    return 2;
  }
  for (const remark of draft.remarks) say(`keywright: ${harmless(remark)}`);
  const no = `no key can be drafted from ${file}`;
  if (draft.taxa < 2)
    throw new Failure(
      `${no}: it describes ${draft.taxa === 1 ? 'one taxon' : 'no taxa'}, and a key separates two or more`,
    );
  const { says, hint } = undividedWords(draft.undivided, draft.taxa);
  throw new Failure(`${no}: ${says}`, { hint });
}

/** Why nothing divides the taxa of a table, and what helps. */
function undividedWords(why: DraftResult['undivided'], taxa: number): { says: string; hint: string } {
  if (why === 'harm')
    return {
      says: `wherever its ${taxa} taxa could be separated, one misread weak character would hide a harmful taxon`,
      hint: 'describe another character in which the harmful taxa differ from the others, or say how reliably one is read',
    };
  if (why === 'gap')
    return {
      says: `what could separate its ${taxa} taxa is not described of all of them`,
      hint: 'describe each taxon by the same characters',
    };
  return {
    says: `nothing that is described separates any two of its ${taxa} taxa`,
    hint: 'two taxa are separated by a character of which one can show a state or a number that the other cannot',
  };
}

function headOf(flags: DraftFlags, name: string, language: string | undefined, world: World) {
  const stem = basename(flags.out ?? (name === '-' ? '' : name))
    .replace(/\.key\.yaml$/, '')
    .replace(/\.[A-Za-z]+$/, '');
  const id = flags.id ?? (slug(stem) === '' ? 'draft' : slug(stem));
  if (slug(id) !== id)
    throw new UsageError(`--id takes lower-case letters, digits and hyphens, not '${id}'`, 'draft');
  const { title, theTaxa, titleOf } = leadWordsOf(language);
  const of = name === '-' ? '' : filled(titleOf, basename(name));
  return {
    id,
    title: flags.title ?? `${filled(title, flags.group ?? theTaxa)}${of}`,
    date: world.now().toISOString().slice(0, 10),
    regions: flags.region ?? [],
    ...defined({ language, group: flags.group, author: flags.author }),
  };
}
