import { type Chain, nearestNode, nodeName } from '../key/chain.js';
import { leadLetter } from '../key/key.js';
import type { TaxonNames } from '../key/taxon-names.js';
import { quoted } from '../text/harmless.js';
import { listed } from '../text/words.js';
import type { Character } from '../traits/character.js';
import type { Choice } from '../traits/collection.js';

/** A person's own choice in a table, read. */
export type ReadChoice =
  | { readonly ok: true; readonly choice: Choice }
  | {
      readonly ok: false;
      readonly problem: string;
      readonly expected: string;
      readonly nearest?: string | undefined;
    };

/** The names that a table for a key may use: its characters, and the leads that a person may have chosen. */
export interface Vocabulary {
  readonly keyId: string;
  /** The key with those that it continues in. */
  readonly chain: Chain;
  readonly characters: ReadonlyMap<string, Character>;
  /** Reads a lead written as one word, `7b` or `key-id/7b`. */
  readLead(written: string): ReadChoice;
  /** Looks up a lead written as couplet and letter. */
  findLead(couplet: string, letter: string): ReadChoice;
  /** Where the taxa that specimens are known to be matter: the names of all taxa. */
  readonly taxa?: TaxonNames;
}

/** The finding about an expected taxon that a key does not have: the fault may lie in the key or in the table. */
export const EXPECT_KNOWN = 'expect-known';
/** The finding about an expected taxon that may be one or another. */
const EXPECT_CLEAR = 'expect-clear';

/** What is wrong with an expected taxon; undefined where one is meant, or where nobody asks. */
export function problemOfTaxon(
  { taxa, keyId }: Vocabulary,
  written: string,
):
  | {
      readonly rule: string;
      readonly message: string;
      readonly expected: string;
      readonly nearest: string | undefined;
    }
  | undefined {
  const called = taxa?.called(written);
  if (taxa === undefined || called?.length === 1) return undefined;
  if (called !== undefined && called.length > 1) {
    const either = listed(
      called.map((t) => `${t.name} (${t.id})`),
      'or',
    );
    return {
      rule: EXPECT_CLEAR,
      message: `${quoted(written)} may be ${either}; write the id of the one that is meant`,
      expected: listed(
        called.map((t) => t.id),
        'or',
      ),
      nearest: undefined,
    };
  }
  const near = taxa.nearest(written);
  return {
    rule: EXPECT_KNOWN,
    message: `${quoted(written)} is no taxon of ${keyId}, by id, name, synonym or common name${near === undefined ? '' : `; did you mean ${near}?`}`,
    expected: 'a taxon of the key',
    nearest: near,
  };
}

/** What a table for these keys may speak of. */
export function vocabularyOf(chain: Chain): Vocabulary {
  /** By couplet, how many leads it has; made when first asked, as most tables have no choices. */
  let known: Map<string, number> | undefined;
  const couplets = () => {
    known ??= new Map(chain.nodes.map((node, i) => [nodeName(chain, i), node.couplet.leads.length]));
    return known;
  };
  const findLead = (written: string, letter: string): ReadChoice => {
    const prefix = `${chain.main.id}/`;
    const couplet = written.startsWith(prefix) ? written.slice(prefix.length) : written;
    const leads = couplets().get(couplet);
    if (leads === undefined) {
      const near = nearestNode(chain, couplet);
      return {
        ok: false,
        problem: `there is no couplet ${couplet} in ${chain.main.id}`,
        expected: 'the number of a couplet',
        nearest: near,
      };
    }
    const letters = Array.from({ length: leads }, (_, i) => leadLetter(i));
    if (letters.includes(letter)) return { ok: true, choice: { couplet, letter } };
    const last = letters[letters.length - 1] ?? 'a';
    return {
      ok: false,
      problem: `couplet ${couplet} has no lead ${letter}`,
      expected: `a letter from a to ${last}`,
    };
  };
  return {
    keyId: chain.main.id,
    chain,
    characters: chain.characters,
    findLead,
    readLead: (written) => leadIn(written, findLead),
  };
}

/** Reads a lead written as one word with a function that looks up couplet and letter. */
export function leadIn(written: string, findLead: Vocabulary['findLead']): ReadChoice {
  const parts = /^(.*[^/])([a-z]{2})$/.exec(written);
  // Couplets may end in a letter themselves, so the shorter lead letter is tried first.
  const [, one = '', letter = ''] = /^(.*[^/])([a-z])$/.exec(written) ?? [];
  if (one === '')
    return {
      ok: false,
      problem: `${written} is not a lead`,
      expected: 'leads such as 7b, or key-id/7b in another key',
    };
  const first = findLead(one, letter);
  if (first.ok || parts === null) return first;
  const second = findLead(parts[1] ?? '', parts[2] ?? '');
  return second.ok ? second : first;
}
