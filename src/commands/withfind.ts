import { resolve } from 'node:path';
import { Failure } from '../diagnostic/failure.js';
import type { CompiledKey } from '../engine/compile.js';
import { readText } from '../files/texts.js';
import { SeenIds } from '../records/ids.js';
import { formatByName, formatByText, openTable } from '../records/reader.js';
import { vocabularyOf } from '../records/vocabulary.js';
import { findingCount, findingLines } from '../report/findings.js';
import type { World } from '../terminal/world.js';
import { quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { count } from '../text/words.js';
import type { Collection } from '../traits/collection.js';

/**
 * The find of a table that a keying starts from: the only one, or the one of that id. Says on stderr what is wrong with
 * the table and gives undefined when that touches the find; mistakes in other finds do not matter here.
 */
export function findIn(
  file: string,
  id: string | undefined,
  key: CompiledKey,
  world: World,
): Collection | undefined {
  const text = readText(resolve(world.cwd, file), file);
  const reader = openTable(formatByName(file) ?? formatByText(text), text, {
    file,
    vocabulary: vocabularyOf(key.chain),
    seen: new SeenIds(),
  });
  const entries = [...reader.read(text), ...reader.end()];
  const ids = [...new Set(entries.map((e) => e.collection.id))];
  const wanted = id === undefined ? entries : entries.filter((e) => e.collection.id === id);
  const findings = [...reader.findings, ...wanted.flatMap((e) => e.findings)].filter(
    (f) => f.level === 'error',
  );
  if (findings.length > 0) {
    for (const line of findingLines(findings)) world.stderr.write(`${line}\n`);
    world.stderr.write(`keywright: ${file} cannot be used: ${findingCount(findings)} must be mended first\n`);
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
