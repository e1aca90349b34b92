import type { Correspondences } from '../../correspondences/check.js';
import type { Finding } from '../../diagnostic/finding.js';
import { openCorrespondences } from '../../inputs/correspondences.js';
import { openSoundKey } from '../../inputs/sound-key.js';
import { MOST_FINDINGS, readTable, tellNotes } from '../../inputs/tables.js';
import { carriedReadings } from '../../tables/carried-readings.js';
import type { Entry } from '../../tables/entry.js';
import type { GivenFormat } from '../../tables/format.js';
import { SeenIds } from '../../tables/ids.js';

import type { World } from '../../terminal/world.js';
import { harmless, visibleJson } from '../../text/harmless.js';
import { textWidth } from '../../text/wrap.js';
import { changesSomething, diffKeys } from '../../versions/diff.js';
import type { JoinedVersions } from '../../versions/joint.js';
import { diffData, diffMarkdown, diffText, type TableDiff } from '../../versions/report.js';
import { type CollectionChange, TableComparison } from '../../versions/table.js';
import { findingCount, findingLines } from '../../words/findings.js';

/** The options of `diff`. */
interface DiffFlags {
  readonly with?: string;
  readonly words?: boolean;
  readonly format: 'text' | 'markdown' | 'json';
  readonly from?: GivenFormat;
  readonly strictColumns?: boolean;
  readonly keys?: readonly string[];
  readonly correspondences?: readonly string[];
}

/** Compares two versions of a key. 0 = nothing has changed for people, 1 = something has, 2 = not compared. */
export async function action(
  [oldName = '', newName = '']: readonly string[],
  flags: DiffFlags,
  world: World,
): Promise<number> {
  const old = await openSoundKey(oldName, flags.keys, world);
  const now = await openSoundKey(newName, flags.keys, world);
  if (old === undefined || now === undefined) return 2;
  const files = await openCorrespondences(flags.correspondences, [old, now], world);
  if (files === undefined) return 2;
  const file = files[0]?.correspondences;
  const diff = diffKeys(old.chain, now.chain, undefined, file);
  const table =
    flags.with === undefined ? undefined : await throughBoth(diff.joint, file, flags.with, flags, world);
  if (table === null) return 2;
  const changed = changesSomething(diff) || (table?.changed.length ?? 0) > 0;
  const setting = { words: flags.words === true };
  world.stdout.write(
    flags.format === 'json'
      ? `${visibleJson(JSON.stringify(diffData(diff, table, changed), null, 2))}\n`
      : flags.format === 'markdown'
        ? diffMarkdown(diff, table, setting)
        : diffText(diff, table, setting, textWidth(world.columns('stdout'))),
  );
  return changed ? 1 : 0;
}

/** Takes a table through both versions; null when it has mistakes, which are then said. */
async function throughBoth(
  joint: JoinedVersions,
  file: Correspondences | undefined,
  name: string,
  flags: DiffFlags,
  world: World,
): Promise<TableDiff | null> {
  const carried = carriedReadings([joint.oldChain, joint.newChain], file === undefined ? [] : [file]);
  const { readings } = carried;
  const comparison = new TableComparison(joint);
  const changed: CollectionChange[] = [];
  const findings: Finding[] = [];
  let all = 0;
  const take = (read: readonly (readonly Entry[])[]): void => {
    const [before = [], after = []] = read;
    for (const [i, entry] of before.entries()) {
      const other = after[i];
      // What is wrong for the older version is said once; a state or lead that only the newer knows is not wrong.
      findings.push(...entry.findings);
      if (other === undefined || entry.findings.length > 0) continue;
      all++;
      const [a, b] = carried.understood([entry.collection, other.collection]).map((u) => u.collection);
      const change = a === undefined || b === undefined ? undefined : comparison.compare(a, b);
      if (change !== undefined) changed.push(change);
    }
  };
  const each = readings.map((reading) => ({ ...reading, seen: new SeenIds() }));
  const how = { from: flags.from, keepGoing: false, strictColumns: flags.strictColumns };
  let shown = name;
  for await (const parts of readTable(name, each, how, world)) {
    take(parts.map((p) => p.entries));
    tellNotes(
      parts.flatMap((p) => p.notes),
      world,
    );
    findings.push(...(parts[0]?.findings ?? []));
    shown = parts[0]?.file ?? name;
    if (findings.length >= MOST_FINDINGS) break;
  }
  const errors = findings.filter((f) => f.level === 'error');
  if (errors.length === 0) return { table: shown, all, changed };
  for (const line of findingLines(errors.slice(0, MOST_FINDINGS))) world.stderr.write(`${harmless(line)}\n`);
  world.stderr.write(`keywright: ${findingCount(errors)} in ${harmless(shown)}, so nothing was compared\n`);
  return null;
}
