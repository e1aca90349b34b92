import { resolve } from 'node:path';
import { translateCollection } from '../../correspondences/translate.js';
import { Failure } from '../../diagnostic/failure.js';
import type { Finding } from '../../diagnostic/finding.js';
import type { CompiledKey } from '../../engine/compile.js';
import { holdsRecords, recordText } from '../../files/record-files.js';
import { isFile, readText } from '../../files/texts.js';
import type { OpenedCorrespondences } from '../../inputs/correspondences.js';
import { readTable, sayAside, tellNotes } from '../../inputs/tables.js';
import { evidenceOfRecord } from '../../record/evidence.js';
import { readRecord } from '../../record/read.js';
import { evidenceNotes } from '../../record/table.js';
import { carriedReadings, type Understood } from '../../tables/carried-readings.js';
import type { Entry } from '../../tables/entry.js';
import { SeenIds } from '../../tables/ids.js';
import type { World } from '../../terminal/world.js';
import { quoted } from '../../text/harmless.js';
import { nearest } from '../../text/nearest.js';
import { count, listed } from '../../text/words.js';
import type { Collection } from '../../traits/collection.js';
import { findingCount, findingLines } from '../../words/findings.js';

/**
 * The find of a table that a keying starts from: the only one, or the one of that id. Says on stderr what is wrong with
 * the table and gives undefined when that touches the find; mistakes in other finds do not matter here.
 */
export async function findIn(
  file: string,
  id: string | undefined,
  key: CompiledKey,
  files: readonly OpenedCorrespondences[],
  world: World,
  strictColumns = false,
): Promise<Collection | undefined> {
  if (file === '-')
    throw new Failure('the standard input is for the answers; give the find in a file', {
      hint: 'a file of that name is ./-',
    });
  const path = resolve(world.cwd, file);
  if (holdsRecords(path, file)) {
    const record = recordText(path, file, id, '--id');
    return findOfRecord(record.text, record.file, id, key, files, world);
  }
  if (/\.ya?ml$/i.test(file) && isFile(path)) {
    const text = readText(path, file);
    if (/^keywright-record:/m.test(text)) return findOfRecord(text, file, id, key, files, world);
  }
  const entries: Entry[] = [];
  const whole: Finding[] = [];
  const left = new Map<Collection, Understood['left']>();
  // A table is in the terms of the other key, and what only this one knows in its own.
  const others = files.map(({ from, to }) => (from === key ? to : from));
  const carried = carriedReadings(
    [...others, key].map((k) => k.chain),
    files.map((f) => f.correspondences),
  );
  const readings = carried.readings.map((r) => ({ ...r, seen: new SeenIds() }));
  const how = { from: undefined, keepGoing: false, strictColumns };
  for await (const parts of readTable(file, readings, how, world)) {
    const many = Math.min(...parts.map((p) => p.entries.length));
    for (let n = 0; n < many; n++) {
      const read = parts.map((p) => p.entries[n] as Entry);
      const own = carried.understood(read.map((e) => e.collection)).at(-1) as Understood;
      left.set(own.collection, own.left);
      entries.push({
        ...(read.at(-1) as Entry),
        collection: own.collection,
        findings: unique(read.flatMap((e) => e.findings)),
      });
    }
    whole.push(...parts.flatMap((p) => p.findings));
    tellNotes(
      parts.flatMap((p) => p.notes),
      world,
    );
  }
  const ids = [...new Set(entries.map((e) => e.collection.id))];
  const wanted = id === undefined ? entries : entries.filter((e) => e.collection.id === id);
  const findings = [...unique(whole), ...wanted.flatMap((e) => e.findings)].filter(
    (f) => f.level === 'error',
  );
  if (findings.length > 0) {
    for (const line of findingLines(findings)) world.stderr.write(`${line}\n`);
    world.stderr.write(`keywright: ${file} cannot be used: ${findingCount(findings)} must be fixed first\n`);
    return undefined;
  }
  const [entry] = wanted;
  if (entry === undefined && id !== undefined) {
    const near = nearest(id, ids);
    throw new Failure(
      `there is no find ${quoted(id)} in ${file}${near === undefined ? '' : `; did you mean ${near}?`}`,
    );
  }
  if (entry === undefined) throw new Failure(`${file} holds no find`);
  if (wanted.length > 1)
    throw new Failure(`${file} holds ${count(ids.length, 'find')}, and a key is run with one`, {
      hint: `say which with --id, such as --id ${ids[0] ?? ''}`,
    });
  sayLeft(left.get(entry.collection) ?? [], world);
  return entry.collection;
}

/** What several keys find wrong with one table, each thing once. */
function unique(findings: readonly Finding[]): Finding[] {
  const seen = new Set<string>();
  return findings.filter(({ rule, place }) => {
    const mark = `${rule} ${place.start.line} ${place.start.column}`;
    return !seen.has(mark) && seen.add(mark);
  });
}

/** Says what of a find is no evidence in this key, though it was seen. */
function sayLeft(left: Understood['left'], world: World): void {
  const by = new Map<string, string[]>();
  for (const { what, why, from } of left) {
    const text = `not carried from ${from.main.id} (${why})`;
    by.set(text, [...(by.get(text) ?? []), what]);
  }
  for (const [text, what] of by) sayAside(`${text}: ${listed(what)}`, world);
}

/**
 * The find of a record, with all that was seen and answered; answers that were given with this very key are left out, since
 * they are to be given anew. What was noted with a key that a file joins to this one is carried over by that file. What the
 * key does not understand is said.
 */
function findOfRecord(
  text: string,
  file: string,
  id: string | undefined,
  key: CompiledKey,
  files: readonly OpenedCorrespondences[],
  world: World,
): Collection {
  const read = readRecord(text, file);
  if (!read.ok) throw new Failure(`${read.problem}; its find cannot be taken`);
  const { collection } = read.record;
  if (id !== undefined && id !== collection.id)
    throw new Failure(`${file} is the record of ${quoted(collection.id)}, not of ${quoted(id)}`);
  const own = evidenceOfRecord(read.record, key.chain, { anew: true });
  const given = new Set(read.record.determinations.map((d) => d.key.id));
  const joined = files.find((f) => given.has(otherOf(f, key).chain.main.id));
  if (joined === undefined) {
    for (const note of evidenceNotes(own, key.chain.main.id)) sayAside(note, world);
    return own.collection;
  }
  const other = otherOf(joined, key).chain;
  const theirs = evidenceOfRecord(read.record, other, { asTraits: true });
  for (const note of evidenceNotes(theirs, other.main.id)) sayAside(note, world);
  const carried = translateCollection(theirs.collection, joined.correspondences, other, key.chain);
  sayLeft(
    carried.left.map((l) => ({ ...l, from: other })),
    world,
  );
  const known = new Set(carried.collection.observations.map((o) => o.character));
  const plain = own.collection.observations.filter((o) => !known.has(o.character));
  const observations = [...carried.collection.observations, ...plain];
  return { ...own.collection, observations };
}

/** The key that a file joins to the one that is run. */
function otherOf({ from, to }: OpenedCorrespondences, key: CompiledKey): CompiledKey {
  return from === key ? to : from;
}
