import { dirname, resolve } from 'node:path';
import { type Finding, hasErrors } from '../../../diagnostic/finding.js';
import { OutFile, replaceText } from '../../../files/out.js';
import type { FolderShelf } from '../../../files/shelf.js';
import { keyShelf, tellNamesakes } from '../../../inputs/key-shelf.js';
import { type Chain, loadChain } from '../../../key/chain.js';
import { lintKey } from '../../../lint/lint.js';
import type { World } from '../../../terminal/world.js';
import { harmless } from '../../../text/harmless.js';
import { textWidth } from '../../../text/wrap.js';
import { diffKeys } from '../../../versions/diff.js';
import { diffText } from '../../../versions/report.js';
import { findingCount, findingLines } from '../../../words/findings.js';
import { withAllowances } from '../allowances.js';
import type { GrowOptions } from '../grow.js';
import type { ReadTable } from '../table.js';
import { type Revised, reviseKey } from './revise.js';

/** Where a revised key goes: into its file, into another, or else to stdout. */
interface ReviseFlags {
  readonly write?: boolean;
  readonly out?: string;
  readonly overwrite?: boolean;
}

/**
 * Brings a key up to date with its table. 0 = done, 1 = done and a person has to look at something, 2 = not done.
 */
export async function revise(
  reference: string,
  { table, findings }: ReadTable,
  options: Omit<GrowOptions, 'mostCouplets'> & { readonly mostCouplets?: number },
  flags: ReviseFlags,
  world: World,
): Promise<number> {
  const say = (line: string) => void world.stderr.write(`${line}\n`);
  const shelf = keyShelf(world);
  const file = await shelf.opened(reference);
  const text = shelf.text(file);
  const opened = loadChain(text, file, shelf);
  tellNamesakes(shelf, world);
  if (opened.chain === undefined || hasErrors(opened.findings))
    return refuse(`${file} cannot be revised`, opened.findings, say);
  if (table === undefined || hasErrors(findings))
    return refuse(`${file} cannot be revised by ${table?.file ?? 'this table'}`, findings, say);
  for (const line of findingLines(findings)) say(line);
  const mostCouplets = options.mostCouplets ?? 10 * table.key.taxa.size;
  const revised = reviseKey(text, opened.chain, table, { ...options, mostCouplets, shelf });
  if (revised.text === undefined || revised.chain === undefined)
    return refuse(`${file} cannot be revised by ${table.file}`, revised.findings, say);
  const out = flags.out === undefined ? undefined : new OutFile(world.cwd, flags.out, flags.overwrite);
  out?.check();
  const now = withAllowances(
    revised.text,
    revised.couplets.length > 0,
    opened.chain.main.language,
    within(revised),
  );
  const changed = now !== text;
  for (const remark of table.remarks) say(`keywright: ${harmless(remark)}`);
  const fresh = freshFindings(text, now, file, shelf);
  for (const line of revised.done) say(`keywright: ${harmless(line)}`);
  for (const line of revised.look) say(`keywright: LOOK: ${harmless(line)}`);
  if (changed) tell(revised.chain, opened.chain, fresh, world);
  else if (revised.look.length === 0)
    say(`keywright: ${harmless(file)} says what ${harmless(table.file)} says; there is nothing to change`);
  if (flags.write === true) {
    if (changed) replaceText(resolve(world.cwd, file), text, now, harmless(file));
    if (changed) say(`keywright: ${harmless(file)} written`);
  } else if (out === undefined) world.stdout.write(now);
  else {
    out.write(now);
    say(`keywright: ${harmless(flags.out ?? '')} written`);
    if (dirname(out.path) !== dirname(resolve(world.cwd, file))) {
      const moved = loadChain(now, out.path, keyShelf(world)).findings;
      for (const { message } of moved.filter((f) => f.rule === 'target-exists'))
        say(`keywright: from ${harmless(flags.out ?? '')}, ${message}; put it beside the revised key`);
    }
  }
  return revised.look.length > 0 || fresh.length > 0 ? 1 : 0;
}

/** Whether a finding stands in a new couplet. */
function within({ chain, couplets }: Revised): (finding: Finding) => boolean {
  const own = new Set(couplets);
  const name = chain?.main.file;
  return ({ place }) => name !== undefined && place.path[0] === 'couplets' && own.has(String(place.path[1]));
}

function refuse(why: string, findings: readonly Finding[], say: (line: string) => void): number {
  for (const line of findingLines(findings)) say(line);
  const errors = findings.filter((f) => f.level === 'error');
  say(`keywright: ${harmless(why)}: ${findingCount(errors)} must be fixed first`);
  return 2;
}

/** What lint says of the key now and did not say before. */
function freshFindings(before: string, now: string, file: string, shelf: FolderShelf): Finding[] {
  const judged = (text: string) =>
    lintKey(text, file, { shelf }).findings.filter((f) => f.level !== 'note' && f.place.file === file);
  const known = new Set(judged(before).map((f) => `${f.rule} ${f.message}`));
  return judged(now).filter((f) => !known.has(`${f.rule} ${f.message}`));
}

function tell(now: Chain, before: Chain, fresh: readonly Finding[], world: World): void {
  const say = (line: string) => void world.stderr.write(`${line}\n`);
  say('');
  world.stderr.write(
    diffText(diffKeys(before, now), undefined, { words: true }, textWidth(world.columns('stderr'))),
  );
  say('');
  if (fresh.length > 0) {
    say('keywright: lint finds what it did not find before:');
    for (const line of findingLines(fresh)) say(line);
  }
}
