/** What the rules of trait logic say of a key, read from what they print. */

import { Logic } from '../../src/engine/logic.js';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf } from '../../src/key/load.js';
import type { Rule, Said } from '../../src/lint/rule.js';
import { characterApplies } from '../../src/lint/rules/character-applies.js';
import { coupletDecides } from '../../src/lint/rules/couplet-decides.js';
import { descriptionAgrees } from '../../src/lint/rules/description-agrees.js';
import { leadPossible } from '../../src/lint/rules/lead-possible.js';
import { leadsExclusive } from '../../src/lint/rules/leads-exclusive.js';
import { leadsExhaustive } from '../../src/lint/rules/leads-exhaustive.js';
import { logicDecided } from '../../src/lint/rules/logic-decided.js';
import { rangesMeet } from '../../src/lint/rules/ranges-meet.js';
import { taxonReachesItself } from '../../src/lint/rules/taxon-reaches-itself.js';
import { findingLines } from '../../src/words/findings.js';
import type { KeyData } from '../support/random-keys.js';

/** What a rule printed, and at which path of the file. */
export interface Printed {
  readonly path: readonly (string | number)[];
  readonly message: string;
  readonly witness: string | undefined;
}

const RULES: readonly Rule[] = [
  leadPossible,
  characterApplies,
  leadsExclusive,
  leadsExhaustive,
  rangesMeet,
  coupletDecides,
  descriptionAgrees,
  taxonReachesItself,
  logicDecided,
];

/** The findings of the logic rules on a key, by rule, and the logic they asked. */
export function claimsOf(key: KeyData): { logic: Logic; printed: ReadonlyMap<string, readonly Printed[]> } {
  const { chain, findings } = loadChain(JSON.stringify(key), 'drawn.key.yaml', emptyShelf);
  if (chain === undefined) throw new Error(findingLines(findings).join('\n'));
  const logic = new Logic(chain);
  const printed = new Map<string, Printed[]>();
  for (const rule of RULES) {
    const own: Printed[] = [];
    const report = (path: Printed['path'], { message, witness }: Said) => {
      own.push({ path, message, witness });
    };
    rule.check?.({
      key: chain.main,
      chain,
      logic,
      lacking: () => undefined,
      report,
      reportIn: (_key, path, said) => report(path, said),
    });
    printed.set(rule.id, own);
  }
  return { logic, printed };
}

/** The find in the words of a witness, `a find with cap a, width 3.5 cm and no ring ...`: by character what it shows. */
export function witnessShows(witness: string, characters: Iterable<string>): Map<string, string> {
  const shows = new Map<string, string>();
  const text = /^(?:any find|a find with (.*?)) (?:fits|agrees)/.exec(witness);
  if (text === null) throw new Error(`not a witness: ${witness}`);
  const ids = [...characters];
  for (const phrase of (text[1] ?? '').split(/, | and /)) {
    if (phrase === '') continue;
    const [first = '', ...rest] = phrase.split(' ');
    const [id, value] = first === 'no' ? [rest[0] ?? '', '-'] : [first, rest.join(' ')];
    if (!ids.includes(id)) throw new Error(`${id} is no character: ${witness}`);
    shows.set(id, value);
  }
  return shows;
}
