import type { Couplet, Key, Lead } from '../../key/key.js';
import { quoted } from '../../text/harmless.js';
import { listed } from '../../text/words.js';
import { characterName } from '../../traits/character.js';
import { charactersIn } from '../../traits/condition.js';
import { example } from '../example.js';
import { lostEnds } from '../lost-ends.js';
import { proposedLeads } from '../review.js';
import { rule } from '../rule.js';
import { languageOf } from '../text/language.js';
import { Parts } from '../text/parts.js';
import { abbreviationsOf, isRefusal, statementsOf, withoutRemarks } from '../text/statements.js';

export const leadsParallel = rule({
  id: 'leads-parallel',
  group: 'wording',
  level: 'warning',
  what: 'Every character that one lead asks is answered in the others, in the same order.',
  why: 'A statement without its contrast separates nothing, and readers wrongly infer the opposite for the other lead.',
  source:
    'Moss Flora of China, contributors’ guide, section 7.2; Flora of Nepal, contributors’ guide; Wisconsin botany course hints on keys (do not assume what is not said)',
  fix: 'Say in the other lead what it shows; or, where that is not known, move the statement to `usually`, which supports a lead at its end and never rules one out. Where no lead has a condition, or one that is not reviewed, the parts that the statements are about are compared; at a taxon, statements behind the first may be a second check of the name.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent]}
  cap: {name: feel of the cap, states: [dry, viscid]}
  smell: {name: smell, states: [mealy, none]}
couplets:
  1:
    - {lead: Ring present; cap viscid, when: {ring: present, cap: viscid}, usually: {smell: mealy}, taxon: aa}
    - {lead: Ring absent or cap dry, when: {any: [{ring: absent}, {cap: dry}]}, taxon: bb}
`),
  bad: example(`
characters:
  ring: {name: ring, states: [present, absent]}
  cap: {name: feel of the cap, states: [dry, viscid]}
couplets:
  1: #! leads-parallel
    - {lead: Ring present; cap viscid, when: {ring: present, cap: viscid}, to: 2}
    - {lead: Ring absent, when: {ring: absent}, taxon: aa}
  2: #! leads-parallel
    - {lead: Ring white; cap red, taxon: bb}
    - {lead: Cap brown, to: 3}
  3:
    - {lead: Cap scaly, taxon: cc}
    - {lead: Cap smooth; ring loose, taxon: dd}
`),
  check({ key, report }) {
    for (const couplet of key.couplets.values()) {
      const said = unanswered(couplet, key) ?? otherOrder(couplet, proposedLeads(key));
      if (said === undefined) continue;
      report(['couplets', couplet.id], {
        side: 'name',
        message: said.message,
        related: said.leads.map((lead) => ({
          message: lead.label,
          place: key.yaml.place([...lead.path, lead.when === undefined ? 'lead' : 'when']),
        })),
      });
    }
  },
});

interface Mismatch {
  readonly message: string;
  readonly leads: readonly Lead[];
}

/** What one lead says and another does not. An `otherwise` lead answers for itself. */
function unanswered(couplet: Couplet, key: Key): Mismatch | undefined {
  const leads = couplet.leads.filter((l) => !l.otherwise);
  const asked = leads.filter((l) => l.when !== undefined);
  // What is proposed was read out of the words, and says less than they do.
  const proposed = proposedLeads(key);
  if (asked.length === 0 || asked.some((l) => proposed.has(l))) return unansweredWords(leads, key);
  if (asked.length < 2) return undefined;
  const of = asked.map((lead) => {
    const when = lead.when === undefined ? [] : charactersIn(lead.when);
    const usually = lead.usually === undefined ? [] : charactersIn(lead.usually);
    // At an end, what is usual is a second check of the name; before another couplet it is part of the choice.
    return {
      lead,
      asked: new Set(when),
      when: new Set(withGates(when, key)),
      answered: new Set(withGates([...when, ...usually], key)),
      said: lead.end.kind === 'taxa' || lostEnds(key).leads.has(lead) ? when : [...when, ...usually],
    };
  });
  const misses: string[] = [];
  const leadsMeant = new Set<Lead>();
  for (const one of of) {
    for (const character of one.said) {
      const silent = of.filter((o) =>
        one.when.has(character) ? !o.when.has(character) : !o.answered.has(character),
      );
      if (silent.length === 0) continue;
      misses.push(
        `${one.lead.label} mentions ${characterName(key.characters, character)}, ${labels(
          silent.map((s) => s.lead),
        )} not`,
      );
      for (const { lead } of [one, ...silent]) leadsMeant.add(lead);
    }
  }
  return misses.length === 0
    ? undefined
    : {
        message: `the leads are not parallel: ${listed([...new Set(misses)].slice(0, 3))}${misses.length > 3 ? ', and more' : ''}`,
        leads: [...leadsMeant],
      };
}

/** The characters with those they depend on: saying that a ring is fibrous says that it is there. */
function withGates(characters: readonly string[], key: Key): string[] {
  const all = new Set(characters);
  for (const id of all) {
    const gate = key.characters.get(id)?.appliesWhen;
    if (gate !== undefined) for (const other of charactersIn(gate)) all.add(other);
  }
  return [...all];
}

/** Without conditions: one statement more than the other lead has, about a part that the other never names. */
function unansweredWords(leads: readonly Lead[], key: Key): Mismatch | undefined {
  const language = languageOf(key);
  const [a, b] = leads;
  if (language === undefined || a === undefined || b === undefined || leads.length !== 2) return undefined;
  if (leads.some((l) => isRefusal(l.text, language))) return undefined;
  const of = (lead: Lead) => statementsOf(withoutRemarks(lead.text), abbreviationsOf(key));
  const [longer, shorter] = of(a).length > of(b).length ? [a, b] : [b, a];
  if (of(longer).length === of(shorter).length) return undefined;
  const parts = new Parts(key, language);
  const unnamed = of(longer).map((s) => parts.unnamedIn(s.text, shorter.text));
  // At an end, what follows the contrast may be a second check of the name; what a lead opens with is what is asked.
  const part =
    longer.end.kind === 'taxa' && !lostEnds(key).leads.has(longer)
      ? unnamed[0]
      : unnamed.find((p) => p !== undefined);
  if (part === undefined) return undefined;
  return {
    message: `the leads are not parallel: ${longer.label} mentions ${quoted(part)}, ${shorter.label} does not`,
    leads: [longer, shorter],
  };
}

/** The first lead whose shared characters are in a different order from those of the lead before. */
function otherOrder(couplet: Couplet, proposed: ReadonlySet<Lead>): Mismatch | undefined {
  const asked = couplet.leads.filter((l) => l.when !== undefined && !proposed.has(l));
  const [first] = asked;
  if (first?.when === undefined) return undefined;
  const order = charactersIn(first.when);
  for (const lead of asked.slice(1)) {
    const own = lead.when === undefined ? [] : charactersIn(lead.when);
    const common = order.filter((c) => own.includes(c));
    if (own.filter((c) => order.includes(c)).every((c, i) => c === common[i])) continue;
    return {
      message: `the leads are not parallel: ${lead.label} asks ${own.join(', ')}, ${first.label} asks ${order.join(', ')}`,
      leads: [first, lead],
    };
  }
  return undefined;
}

function labels(leads: readonly Lead[]): string {
  const ids = leads.map((l) => l.label);
  return `${listed(ids)} ${ids.length === 1 ? 'does' : 'do'}`;
}
