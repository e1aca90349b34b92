import { resolve } from 'node:path';
import { Failure } from '../../diagnostic/failure.js';
import type { Finding } from '../../diagnostic/finding.js';
import type { CompiledKey } from '../../engine/compile.js';
import { isFile, readText } from '../../files/texts.js';
import { readTables, tellNotes } from '../../inputs/tables.js';
import { evidenceOfRecord } from '../../record/evidence.js';
import { readRecord } from '../../record/read.js';
import { evidenceNotes } from '../../record/table.js';
import type { Entry } from '../../tables/entry.js';
import { vocabularyOf } from '../../tables/vocabulary.js';
import type { World } from '../../terminal/world.js';
import { harmless, quoted } from '../../text/harmless.js';
import { nearest } from '../../text/nearest.js';
import { count } from '../../text/words.js';
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
  world: World,
  strictColumns = false,
): Promise<Collection | undefined> {
  if (file === '-')
    throw new Failure('the standard input is for the answers; give the find in a file', {
      hint: 'a file of that name is ./-',
    });
  const path = resolve(world.cwd, file);
  if (/\.ya?ml$/i.test(file) && isFile(path)) {
    const text = readText(path, file);
    if (/^keywright-record:/m.test(text)) return findOfRecord(text, file, id, key, world);
  }
  const entries: Entry[] = [];
  const whole: Finding[] = [];
  const reading = { vocabulary: vocabularyOf(key.chain), from: undefined, keepGoing: false, strictColumns };
  for await (const part of readTables([file], reading, world)) {
    entries.push(...part.entries);
    whole.push(...part.findings);
    tellNotes(part.notes, world);
  }
  const ids = [...new Set(entries.map((e) => e.collection.id))];
  const wanted = id === undefined ? entries : entries.filter((e) => e.collection.id === id);
  const findings = [...whole, ...wanted.flatMap((e) => e.findings)].filter((f) => f.level === 'error');
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
  return entry.collection;
}

/**
 * The find of a record, with all that was seen and answered; answers that were given with this very key are left out, since
 * they are to be given anew. What the key does not understand is said.
 */
function findOfRecord(
  text: string,
  file: string,
  id: string | undefined,
  key: CompiledKey,
  world: World,
): Collection {
  const read = readRecord(text, file);
  if (!read.ok) throw new Failure(`${read.problem}; its find cannot be taken`);
  const { collection } = read.record;
  if (id !== undefined && id !== collection.id)
    throw new Failure(`${file} is the record of ${quoted(collection.id)}, not of ${quoted(id)}`);
  const evidence = evidenceOfRecord(read.record, key.chain, { anew: true });
  for (const note of evidenceNotes(evidence, key.chain.main.id)) world.stderr.write(`${harmless(note)}\n`);
  return evidence.collection;
}
