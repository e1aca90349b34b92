import { resolve } from 'node:path';
import { Failure } from '../diagnostic/failure.js';
import type { CompiledKey } from '../engine/compile.js';
import { readText } from '../files/texts.js';
import { type Data, readYaml } from '../key/document.js';
import type { World } from '../terminal/world.js';
import type { Collection, Observation } from '../traits/collection.js';
import { readValue } from '../traits/value.js';

/** The one find of a collections file that a keying starts from. */
export async function findIn(
  file: string,
  id: string | undefined,
  key: CompiledKey,
  world: World,
): Promise<Collection> {
  const yaml = readYaml(readText(resolve(world.cwd, file), file), file);
  const all = ((yaml.data as { collections?: Record<string, Data>[] })?.collections ?? []).filter(
    (c) => id === undefined || c.id === id,
  );
  const [c] = all;
  if (c === undefined || all.length > 1) throw new Failure(`${file}: ${all.length} finds`);
  const observations: Observation[] = [];
  const add = (traits: unknown, stage?: string, specimen?: string) => {
    for (const [character, written] of Object.entries((traits ?? {}) as Record<string, string>)) {
      const known = key.chain.characters.get(character);
      if (known === undefined) continue;
      const read = readValue(known, written);
      if (read.ok)
        observations.push({
          character,
          value: read.value,
          ...(stage === undefined ? {} : { stage }),
          ...(specimen === undefined ? {} : { specimen }),
        });
    }
  };
  add(c.traits);
  for (const s of (c.specimens ?? []) as unknown as Record<string, string>[]) add(s.traits, s.stage, s.id);
  return { id: String(c.id), observations, choices: [], stages: [], expect: [] };
}
