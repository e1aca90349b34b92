import type { Path } from '../diagnostic/finding.js';
import type { CompiledCouplet, CompiledLead } from '../engine/compile.js';
import type { Logic } from '../engine/logic.js';
import { valueAt } from '../key/data-path.js';
import type { Key } from '../key/key.js';

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
  const own = [...lead.lead.path, 'when', id];
  return valueAt(keyOf(logic, couplet).yaml.data, own) === undefined ? conditionPath(lead) : own;
}

/** Every couplet that the start leads to, in the order of the key. */
export function couplets(logic: Logic): CompiledCouplet[] {
  return logic.key.couplets.filter((c) => logic.depths[c.index] !== undefined);
}
