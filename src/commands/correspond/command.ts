import { resolve } from 'node:path';
import { checkCorrespondences, inOrder, versionNotes } from '../../correspondences/check.js';
import { readCorrespondences } from '../../correspondences/read.js';
import { mergedText, proposalText } from '../../correspondences/write.js';
import { Failure } from '../../diagnostic/failure.js';
import { UsageError } from '../../diagnostic/usage-error.js';
import type { CompiledKey } from '../../engine/compile.js';
import { OutFile, replaceText } from '../../files/out.js';
import { readKeyText } from '../../files/shelf.js';
import { isFile } from '../../files/texts.js';
import { openSoundKey } from '../../inputs/sound-key.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { count, inShort, listed } from '../../text/words.js';
import { findingCount, findingLines } from '../../words/findings.js';
import { checkOut, type OutFlags, writeOut } from '../output.js';

/** The options of `correspond`. */
interface CorrespondFlags extends OutFlags {
  readonly keys?: readonly string[];
}

/** Proposes what of one key is what of another. 0 = written, 2 = a key or the file there cannot be used. */
export async function action(
  [one = '', other = '']: readonly string[],
  flags: CorrespondFlags,
  world: World,
): Promise<number> {
  checkOut(flags, 'correspond');
  const { out } = flags;
  if (out !== undefined && !/\.ya?ml$/.test(out))
    throw new UsageError('--out names a YAML file, such as a-to-b.correspondences.yaml', 'correspond');
  const from = await openSoundKey(one, flags.keys, world);
  const to = await openSoundKey(other, flags.keys, world);
  if (from === undefined || to === undefined) return 2;
  if (from.chain.main.file === to.chain.main.file)
    throw new Failure(`${harmless(one)} and ${harmless(other)} are one key; give two`);
  const path = out === undefined ? undefined : resolve(world.cwd, out);
  if (out !== undefined && path !== undefined && isFile(path)) {
    new OutFile(world.cwd, out, flags.overwrite).check();
    return addTo(path, harmless(out), from, to, world);
  }
  const text = proposalText(from.chain, to.chain, `keywright ${world.version}`);
  writeOut(text, flags, world);
  const { written } = readCorrespondences(text, out ?? 'proposals');
  const entries = [...(written?.characters ?? []), ...(written?.taxa ?? [])].length;
  world.stderr.write(
    `keywright: ${out === undefined ? '' : `${harmless(out)} written: `}${count(entries, 'proposal')}; none carries evidence until you write "confirmed: yes" beside it\n`,
  );
  return 0;
}

/** Adds to a file what it does not say yet. */
function addTo(path: string, shown: string, one: CompiledKey, other: CompiledKey, world: World): number {
  const before = readKeyText(path, shown);
  const { written, findings } = readCorrespondences(before, shown);
  if (written === undefined || findings.length > 0) {
    for (const line of findingLines(findings)) world.stderr.write(`${line}\n`);
    world.stderr.write(
      `keywright: ${shown} is left as it is: ${findingCount(findings)} must be fixed first\n`,
    );
    return 2;
  }
  const ordered = inOrder(written, one, other);
  if (ordered === undefined)
    throw new Failure(
      `${shown} is about ${harmless(written.from.key)} and ${harmless(written.to.key)}; it is left as it is`,
      { hint: 'give another name' },
    );
  const [from, to] = ordered.map((k) => k.chain) as [CompiledKey['chain'], CompiledKey['chain']];
  const merged = mergedText(written, from, to);
  if (!merged.ok)
    throw new Failure(
      `"${merged.section}" in ${shown} is written in braces, so that nothing can be added to it`,
      {
        hint: 'write each of its entries on lines of its own',
      },
    );
  // What is written must read as before, with what was added.
  const again = readCorrespondences(merged.text, shown);
  if (again.written === undefined || again.findings.length > 0)
    throw new Error(findingLines(again.findings).join('\n'));
  replaceText(path, before, merged.text, shown);
  const { added } = merged;
  world.stderr.write(
    `keywright: ${shown} written: ${added.length === 0 ? 'nothing new to propose' : `${count(added.length, 'new proposal')} (${listed(inShort(added.map(harmless), 8))})`}; what you wrote is as it was\n`,
  );
  for (const note of versionNotes(written, [from, to])) world.stderr.write(`keywright: ${harmless(note)}\n`);
  // What no longer holds is said, for whoever wrote it to fix.
  const faults = checkCorrespondences(again.written, from, to).findings;
  for (const line of findingLines(faults)) world.stderr.write(`${line}\n`);
  return faults.length > 0 ? 2 : 0;
}
