import type { Chain } from '../key/chain.js';
import { nodeName } from '../key/chain.js';
import { type Concern, type Lead, leadLabel, type Taxon } from '../key/key.js';
import { severity } from '../key/severity.js';
import type { Character } from '../traits/character.js';
import { type Check, type TestCheck, toCheck } from '../traits/check.js';
import { type Condition, conjunction } from '../traits/condition.js';
import { lineage } from './verdict.js';

export interface CompiledLead {
  readonly lead: Lead;
  /** `7b`, or `key-id/7b` outside the main key. */
  readonly label: string;
  readonly check: Check | undefined;
  readonly otherwise: boolean;
  /** The number of the couplet it goes to, or -1. */
  readonly next: number;
  /** The numbers of the taxa it ends at. */
  readonly taxa: readonly number[];
  /**
   * Set when the check is one test, or tests of different characters joined by AND, none of which depends on another:
   * then the failing characters are just the failing tests.
   */
  readonly tests: readonly TestCheck[] | undefined;
}

export interface CompiledCouplet {
  readonly index: number;
  /** `7`, or `key-id/7` outside the main key. */
  readonly name: string;
  readonly leads: readonly CompiledLead[];
  readonly anyOtherwise: boolean;
}

/**
 * A chain of keys, compiled once to be followed many times. Couplets are in an order in which every lead goes forward.
 */
export interface CompiledKey {
  readonly chain: Chain;
  readonly characters: readonly Character[];
  readonly characterIndex: ReadonlyMap<string, number>;
  /** By character: the condition under which it exists at all, if not always. */
  readonly gates: readonly (Check | undefined)[];
  readonly couplets: readonly CompiledCouplet[];
  readonly coupletIndex: ReadonlyMap<string, number>;
  readonly start: number;
  /** A taxon that holds others carries the worst concern among them. */
  readonly taxa: readonly Taxon[];
}

/** Compiles a chain, so that finds can be followed through it. */
export function compile(chain: Chain): CompiledKey {
  const characters = [...chain.characters.values()];
  const characterIndex = new Map(characters.map((c, i) => [c.id, i]));
  const taxa = withWorstMember([...chain.taxa.values()], chain.taxa);
  const taxonIndex = new Map(taxa.map((t, i) => [t.id, i]));
  const translate = (condition: Condition) => toCheck(condition, characters, characterIndex);
  const gates = characters.map((c) => (c.appliesWhen === undefined ? undefined : translate(c.appliesWhen)));
  const couplets = chain.nodes.map((node, index): CompiledCouplet => {
    const name = nodeName(chain, index);
    const leads = node.couplet.leads.map((lead, i): CompiledLead => {
      const check = lead.when === undefined ? undefined : translate(lead.when);
      return {
        lead,
        label: leadLabel(name, lead.letter),
        check,
        otherwise: lead.otherwise,
        next: node.next[i] ?? -1,
        taxa: lead.end.kind === 'taxa' ? lead.end.taxa.flatMap((t) => taxonIndex.get(t) ?? []) : [],
        tests: plainTests(lead.when, check, gates),
      };
    });
    return { index, name, leads, anyOtherwise: leads.some((l) => l.otherwise) };
  });
  return {
    chain,
    characters,
    characterIndex,
    gates,
    couplets,
    coupletIndex: new Map(couplets.map((c) => [c.name, c.index])),
    start: chain.start,
    taxa,
  };
}

/**
 * A taxon that holds others may be any of them: it has the worst concern of all its members, whatever its author wrote
 * for it.
 */
function withWorstMember(taxa: readonly Taxon[], byId: ReadonlyMap<string, Taxon>): Taxon[] {
  const worst = new Map<string, Taxon>();
  for (const taxon of taxa)
    for (const group of lineage(taxon, byId).slice(1)) {
      const before = worst.get(group.id);
      if (before === undefined || severity(taxon) < severity(before)) worst.set(group.id, taxon);
    }
  return taxa.map((group) => {
    const member = worst.get(group.id);
    if (member === undefined || severity(member) >= severity(group)) return group;
    const { level, effect, onset, source } = member.concern;
    const concern: Concern = {
      level,
      effect: `holds ${member.name}${effect === undefined ? '' : `: ${effect}`}`,
      ...(onset === undefined ? {} : { onset }),
      ...(source === undefined ? {} : { source }),
    };
    return { ...group, concern };
  });
}

function plainTests(
  when: Condition | undefined,
  check: Check | undefined,
  gates: readonly (Check | undefined)[],
): readonly TestCheck[] | undefined {
  if (when === undefined || check === undefined) return undefined;
  const flat = conjunction(when);
  if (flat === undefined || new Set(flat.map((t) => t.character)).size < flat.length) return undefined;
  const tests = flatten(check);
  return tests.some((t) => gates[t.character] !== undefined) ? undefined : tests;
}

function flatten(check: Check): readonly TestCheck[] {
  if (check.op === 'states' || check.op === 'numbers') return [check];
  return check.op === 'not' ? [] : check.parts.flatMap(flatten);
}
