import { dirname, join, resolve } from 'node:path';
import { Failure } from '../../diagnostic/failure.js';
import { isFolder, keysBelow } from '../../files/key-files.js';
import { replaceText } from '../../files/out.js';
import { readKeyText } from '../../files/shelf.js';
import type { ReadableKey } from '../../inputs/readable-key.js';
import { edited } from '../../key/edits.js';
import type { Key } from '../../key/key.js';
import { loadKey } from '../../key/load.js';
import { renumberFix } from '../../key/renumber.js';
import { newNumbers } from '../../printed/key.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';

/**
 * Puts the couplets of a key's own file into reading order and numbers them; comments and layout stay. Other keys that
 * continue in this one at a certain couplet are named, since they are not changed. Throws a Failure when the file cannot be
 * changed without a person's help.
 */
export function putInOrder(opened: ReadableKey, folders: readonly string[], world: World): void {
  const { chain, file, text } = opened;
  const { main } = chain;
  const say = (what: string) => world.stderr.write(`keywright: ${harmless(what)}\n`);
  const numbers = newNumbers(main);
  if (numbers === undefined) {
    say(`${file} is in reading order already`);
    return;
  }
  const fix = renumberFix(main);
  if (fix === undefined)
    throw new Failure(
      `${file} cannot be put in order by itself: its couplets have names that are not plain numbers, or nothing leads to one of them, or a text in it refers to a couplet by its number`,
      { hint: '--renumber prints it in reading order without changing the file' },
    );
  const mark = text.startsWith('\ufeff') ? 1 : 0;
  if (opened.shelf.bundleOf(file) !== undefined)
    throw new Failure(`${harmless(file)} lies in a bundle, and a bundle is never changed`, {
      hint: 'unpack it, put the key in order there, and bundle it again',
    });
  const leading = leadingHere(opened, folders, world);
  replaceText(
    resolve(world.cwd, file),
    text,
    text.slice(0, mark) + edited(text.slice(mark), fix.edits),
    harmless(file),
  );
  say(`${file} changed: ${fix.title}`);
  for (const { place, at } of leading) {
    const now = numbers.get(at);
    if (now !== undefined && now !== at)
      say(`${place} continues in ${main.id} at couplet ${at}, which is couplet ${now} now: change it there`);
  }
}

/** The leads of other keys that continue in this one at a certain couplet. */
function leadingHere(
  { chain: { main, keys }, file, shelf }: ReadableKey,
  folders: readonly string[],
  world: World,
): { readonly place: string; readonly at: string }[] {
  const near = [dirname(file), 'keys', ...folders].filter((f) => isFolder(resolve(world.cwd, f)));
  const files = new Set(
    near.flatMap((f) => keysBelow(f, world.cwd).files).map((f) => join(f, '.').replace(/[/\\]$/, '')),
  );
  const others: Key[] = keys.filter((k) => k !== main);
  const known = new Set(keys.map((k) => resolve(world.cwd, k.file)));
  for (const other of files) {
    if (known.has(resolve(world.cwd, other))) continue;
    known.add(resolve(world.cwd, other));
    const text = readKeyText(resolve(world.cwd, other), other);
    if (!/\bat:/.test(text)) continue;
    const { key } = loadKey(text, other, shelf);
    if (key !== undefined) others.push(key);
  }
  return others.flatMap((other) =>
    [...other.couplets.values()].flatMap((couplet) =>
      couplet.leads.flatMap((lead) => {
        const { end } = lead;
        if (end.kind !== 'key' || end.at === undefined) return [];
        const found = shelf.key(end.key, other.file);
        const here = found.ok && resolve(world.cwd, found.file) === resolve(world.cwd, file);
        const line = other.yaml.place([...lead.path, 'at']).start.line;
        return here ? [{ place: `${other.file}:${line}`, at: end.at }] : [];
      }),
    ),
  );
}
