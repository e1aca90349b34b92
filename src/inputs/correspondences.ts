import { dirname, resolve } from 'node:path';
import {
  type Correspondences,
  checkCorrespondences,
  inOrder,
  versionNotes,
} from '../correspondences/check.js';
import { readCorrespondences, type WrittenCorrespondences } from '../correspondences/read.js';
import { Failure } from '../diagnostic/failure.js';
import type { Finding } from '../diagnostic/finding.js';
import type { CompiledKey } from '../engine/compile.js';
import { readKeyText } from '../files/shelf.js';
import type { World } from '../terminal/world.js';
import { harmless } from '../text/harmless.js';
import { count, inShort, listed } from '../text/words.js';
import { findingCount, findingLines } from '../words/findings.js';
import { openSoundKey } from './sound-key.js';

/** Two keys and what of the one is what of the other. */
export interface OpenedCorrespondences {
  readonly correspondences: Correspondences;
  readonly from: CompiledKey;
  readonly to: CompiledKey;
}

/**
 * Opens the files of correspondences that a person named, each of which is about two of the keys. Says on stderr what is wrong with
 * them and gives undefined then; says what is not confirmed, and what was written for another version of a key.
 */
export async function openCorrespondences(
  names: readonly string[] | undefined,
  keys: readonly CompiledKey[],
  world: World,
): Promise<readonly OpenedCorrespondences[] | undefined> {
  const opened: OpenedCorrespondences[] = [];
  for (const name of names ?? []) {
    const written = readFile(name, world);
    if (written === undefined) return undefined;
    const ordered = keys
      .flatMap((a, i) => keys.slice(i + 1).map((b) => inOrder(written, a, b)))
      .find((found) => found !== undefined);
    if (ordered === undefined) throw ofOtherKeys(name, written, keys);
    const before = opened.find((o) => ordered.includes(o.from) && ordered.includes(o.to));
    if (before !== undefined)
      throw new Failure(
        `${harmless(name)} and ${harmless(before.correspondences.file)} are about the same two keys; give one of them`,
      );
    const checked = held(written, ordered, world);
    if (checked === undefined) return undefined;
    opened.push(checked);
  }
  return opened;
}

/**
 * Opens files of correspondences of which each is about one key that is open already and another, which is looked for by its id, also
 * beside the file.
 */
export async function openOtherKeys(
  names: readonly string[] | undefined,
  key: CompiledKey,
  folders: readonly string[] | undefined,
  world: World,
): Promise<readonly OpenedCorrespondences[] | undefined> {
  const opened: OpenedCorrespondences[] = [];
  for (const name of names ?? []) {
    const written = readFile(name, world);
    if (written === undefined) return undefined;
    const { id } = key.chain.main;
    const { from, to } = written;
    if (from.key !== id && to.key !== id) throw ofOtherKeys(name, written, [key]);
    const other = await openSoundKey(
      from.key === id ? to.key : from.key,
      [...(folders ?? []), dirname(resolve(world.cwd, name))],
      world,
    );
    if (other === undefined) return undefined;
    const ordered = inOrder(written, key, other);
    if (ordered === undefined) throw ofOtherKeys(name, written, [key, other]);
    const checked = held(written, ordered, world);
    if (checked === undefined) return undefined;
    opened.push(checked);
  }
  return opened;
}

function readFile(name: string, world: World): WrittenCorrespondences | undefined {
  const file = harmless(name);
  const { written, findings } = readCorrespondences(readKeyText(resolve(world.cwd, name), file), file);
  if (written !== undefined && findings.length === 0) return written;
  refuse(file, findings, world);
  return undefined;
}

function held(
  written: WrittenCorrespondences,
  [from, to]: readonly [CompiledKey, CompiledKey],
  world: World,
): OpenedCorrespondences | undefined {
  const { correspondences, findings } = checkCorrespondences(written, from.chain, to.chain);
  if (findings.length > 0) {
    refuse(written.file, findings, world);
    return undefined;
  }
  for (const note of [...versionNotes(written, [from.chain, to.chain]), ...unconfirmed(written)])
    world.stderr.write(`keywright: ${harmless(note)}\n`);
  return { correspondences, from, to };
}

function refuse(file: string, findings: readonly Finding[], world: World): void {
  for (const line of findingLines(findings)) world.stderr.write(`${line}\n`);
  world.stderr.write(`keywright: ${file} cannot be used: ${findingCount(findings)} must be fixed first\n`);
}

function ofOtherKeys(
  name: string,
  { from, to }: WrittenCorrespondences,
  keys: readonly CompiledKey[],
): Failure {
  const given = listed(keys.map((k) => k.chain.main.id));
  return new Failure(
    `${harmless(name)} is about ${harmless(from.key)} and ${harmless(to.key)}, not about ${harmless(given)}`,
  );
}

/** What is left aside since nobody has confirmed it. */
function unconfirmed({ file, characters, taxa }: WrittenCorrespondences): string[] {
  const open = [...characters, ...taxa].filter((e) => !e.confirmed).map((e) => e.id);
  if (open.length === 0) return [];
  const many = open.length === 1 ? 'is not confirmed and carries' : 'are not confirmed and carry';
  return [
    `${count(open.length, 'entry', 'entries')} of ${file} ${many} nothing: ${listed(inShort(open, 8))}`,
  ];
}
