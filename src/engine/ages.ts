import { listed } from '../text/words.js';
import type { Character } from '../traits/character.js';
import type { CompiledKey } from './compile.js';
import type { Warning } from './outcome.js';

/** Whether a character counts that was seen at an age; an age that is not told can show everything. */
export function counts(character: Character, stage: string | undefined): boolean {
  return stage === undefined || character.stages.length === 0 || character.stages.includes(stage);
}

/** That what was seen of a character at some ages does not count. */
export function wrongAgeWarning(key: CompiledKey, id: string, ages: ReadonlySet<string>): Warning {
  const character = key.chain.characters.get(id) as Character;
  return {
    kind: 'wrong-age',
    message: `the ${character.name} does not count from ${listed([...ages].sort(), 'or')} specimens: it shows on ${listed(character.stages, 'or')} ones`,
    characters: [id],
  };
}

/** The ages of specimens that a key knows, in the order in which it names them. */
export function agesOf({ chain }: CompiledKey): readonly string[] {
  return [
    ...new Set([
      ...chain.keys.flatMap((k) => k.scope.stages),
      ...[...chain.characters.values()].flatMap((c) => c.stages),
    ]),
  ];
}
