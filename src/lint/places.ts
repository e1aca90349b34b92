import type { Path, Place, Related } from '../diagnostic/finding.js';
import type { CompiledCouplet, CompiledLead } from '../engine/compile.js';
import type { Logic } from '../engine/logic.js';
import type { Key } from '../key/key.js';
import type { Character } from '../traits/character.js';
import { askedPath } from './written.js';

/** The key that a couplet stands in. */
export function keyOf(logic: Logic, couplet: CompiledCouplet): Key {
  return (logic.key.chain.nodes[couplet.index] as { key: Key }).key;
}

/** The path of a couplet in its own file. */
export function coupletPath(logic: Logic, couplet: CompiledCouplet): Path {
  return ['couplets', (logic.key.chain.nodes[couplet.index] as { couplet: { id: string } }).couplet.id];
}

/** The path of a lead's condition, or of the lead when it has none. */
export function conditionPath(lead: CompiledLead): Path {
  return lead.lead.when === undefined
    ? lead.otherwise
      ? [...lead.lead.path, 'otherwise']
      : lead.lead.path
    : [...lead.lead.path, 'when'];
}

/** The path of what a lead says of a character: its own line where it stands directly under `when`. */
export function testPath(
  logic: Logic,
  couplet: CompiledCouplet,
  lead: CompiledLead,
  character: number,
): Path {
  const id = logic.key.characters[character]?.id ?? '';
  if (lead.lead.when === undefined) return conditionPath(lead);
  return askedPath(keyOf(logic, couplet), lead.lead, id);
}

/** A lead with its words as a related place: at its condition, or at another path of it. */
export function leadPlace(key: Key, lead: CompiledLead, path: Path = conditionPath(lead)): Related {
  return { message: `${lead.label}: ${lead.lead.text}`, place: key.yaml.place(path) };
}

/** A couplet as a related place. */
export function coupletPlace(key: Key, id: string): Related {
  return { message: `couplet ${id}`, place: key.yaml.place(['couplets', id], 'name') };
}

/** The characters that a key has from shared terms, each with its place there. */
export function* sharedCharacters(key: Key): Generator<readonly [Character, Place]> {
  for (const [id, character] of key.characters) {
    const place = key.characterPlace(id);
    if (place !== undefined && place.file !== key.file) yield [character, place];
  }
}

/** Every couplet that the start leads to, in the order of the key. */
export function couplets(logic: Logic): CompiledCouplet[] {
  return logic.key.couplets.filter((c) => logic.depths[c.index] !== undefined);
}
