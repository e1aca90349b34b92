import type { Key, Lead, Taxon } from '../../key/key.js';
import { listed } from '../../text/words.js';
import type { Character } from '../../traits/character.js';
import { charactersAsked } from '../asked.js';
import { coupletGraph } from '../couplet-graph.js';
import { example } from '../example.js';
import { rule } from '../rule.js';
import { traitsApart } from '../traits-apart.js';

const SLOW_EFFORT = 5;
const QUICK_EFFORT = 2;
/** Looking further into a very large key would cost more than the advice is worth. */
const MOST_VISITED = 300_000;
const MOST_TAXA = 200;

export const slowCharacterLate = rule({
  id: 'slow-character-late',
  group: 'structure',
  level: 'note',
  what: 'A character that takes hours or a microscope is not asked before one that is quick to see and separates the taxa just as well.',
  why: 'In the field the reader stops at the first question that cannot be answered there.',
  source: 'common practice, no source',
  fix: 'Ask the quick character first, the slow one where nothing else separates what is left. The descriptions of the taxa show that the quick one would do.',
  good: example(`
characters:
  print: {name: colour of the spore print, states: [white, brown], wait: 6 h, effort: 6}
  ring: {name: ring, states: [present, absent]}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, to: 2}
    - {lead: Ring absent, when: {ring: absent}, taxon: cc}
  2:
    - {lead: Spore print white, when: {print: white}, taxon: aa}
    - {lead: Spore print brown, when: {print: brown}, taxon: bb}
taxa:
  aa: {name: Aa aa, traits: {print: white, ring: present}}
  bb: {name: Bb bb, traits: {print: brown, ring: present}}
  cc: {name: Cc cc, traits: {print: brown, ring: absent}}
`),
  bad: example(`
characters:
  print: {name: colour of the spore print, states: [white, brown], wait: 6 h, effort: 6}
  ring: {name: ring, states: [present, absent]}
couplets:
  1: #! slow-character-late
    - {lead: Spore print white, when: {print: white}, taxon: cc}
    - {lead: Spore print brown, when: {print: brown}, to: 2}
  2:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
taxa:
  aa: {name: Aa aa, traits: {print: brown, ring: present}}
  bb: {name: Bb bb, traits: {print: brown, ring: absent}}
  cc: {name: Cc cc, traits: {print: white, ring: present}}
`),
  check({ key, report }) {
    const slow = new Set([...key.characters.values()].filter(isSlow).map((c) => c.id));
    if (slow.size === 0) return;
    const quick = [...key.characters.values()].filter(isQuick);
    let visited = 0;
    for (const couplet of key.couplets.values()) {
      const asked = charactersAsked(couplet);
      const first = asked.find((id) => slow.has(id));
      // Where a quick character is asked with it, the reader has something to go by.
      if (first === undefined || asked.some((id) => !slow.has(id)) || visited > MOST_VISITED) continue;
      const beyond = couplet.leads.map((lead) => taxaBeyond(key, lead));
      visited += beyond.reduce((sum, b) => sum + b.visited, 0);
      const taxa = new Set(beyond.flatMap((b) => b.taxa));
      // Without every end in sight and described, nothing can be said about what would separate them.
      if (taxa.size > MOST_TAXA || taxa.size < 3 || beyond.some((b) => b.open)) continue;
      visited += taxa.size * taxa.size;
      const separated = pairsSeparated(beyond.map((b) => b.taxa));
      const better = quick.find((c) => askedBeyond(beyond, c.id) && pairsApart(taxa, c) >= separated);
      if (better === undefined) continue;
      const character = key.characters.get(first) as Character;
      report(['couplets', couplet.id], {
        side: 'name',
        message: `couplet ${couplet.id} asks a slow character, ${character.name} (${costOf(character)}); ${better.name}, asked below, separates the described taxa just as well`,
        related: couplet.leads
          .slice(0, 1)
          .map((l) => ({ message: `asks ${listed(asked)}`, place: key.yaml.place(l.path) })),
      });
    }
  },
});

function isSlow(character: Character): boolean {
  return minutesOf(character.wait) >= 60 || character.effort >= SLOW_EFFORT;
}

function isQuick(character: Character): boolean {
  return character.effort <= QUICK_EFFORT && minutesOf(character.wait) < 10;
}

function minutesOf(wait: string | undefined): number {
  const read = /^([\d.]+)\s*(s|min|h|d)$/.exec(wait ?? '');
  const each: Readonly<Record<string, number>> = { s: 1 / 60, min: 1, h: 60, d: 1440 };
  return read === null ? 0 : Number(read[1]) * (each[read[2] ?? ''] ?? 0);
}

function costOf(character: Character): string {
  return character.wait === undefined ? `effort ${character.effort} of 10` : `takes ${character.wait}`;
}

interface TaxaBeyond {
  readonly taxa: readonly Taxon[];
  readonly asked: ReadonlySet<string>;
  /** Whether a lead continues in another key, or ends at an undescribed taxon. */
  readonly open: boolean;
  readonly visited: number;
}

function taxaBeyond(key: Key, from: Lead): TaxaBeyond {
  const { couplets, index } = coupletGraph(key);
  const taxa = new Set<Taxon>();
  const asked = new Set<string>();
  const seen = new Set<number>();
  let open = false;
  const todo = [from];
  for (let lead = todo.pop(); lead !== undefined; lead = todo.pop()) {
    if (lead.end.kind === 'key') open = true;
    else if (lead.end.kind === 'taxa') {
      for (const id of lead.end.taxa) {
        const taxon = key.taxa.get(id);
        if (taxon === undefined || taxon.traits.size === 0) open = true;
        else taxa.add(taxon);
      }
    } else {
      const to = index.get(lead.end.couplet);
      const couplet = to === undefined || seen.has(to) ? undefined : couplets[to];
      if (to === undefined || couplet === undefined) continue;
      seen.add(to);
      for (const id of charactersAsked(couplet)) asked.add(id);
      todo.push(...couplet.leads);
    }
    if (open) break;
  }
  return { taxa: [...taxa], asked, open, visited: seen.size };
}

function askedBeyond(beyond: readonly TaxaBeyond[], character: string): boolean {
  return beyond.some((b) => b.asked.has(character));
}

/** How many pairs of taxa the couplet separates: only those beyond different leads. */
function pairsSeparated(groups: readonly (readonly Taxon[])[]): number {
  let pairs = 0;
  const sets = groups.map((g) => new Set(g));
  groups.forEach((a, i) => {
    const inA = sets[i] as Set<Taxon>;
    groups.slice(i + 1).forEach((b, j) => {
      const inB = sets[i + 1 + j] as Set<Taxon>;
      for (const x of a) for (const y of b) if (x !== y && !inA.has(y) && !inB.has(x)) pairs++;
    });
  });
  return pairs;
}

/** How many pairs of taxa a character separates by their descriptions. */
function pairsApart(taxa: ReadonlySet<Taxon>, character: Character): number {
  const list = [...taxa];
  let pairs = 0;
  list.forEach((a, i) => {
    for (const b of list.slice(i + 1)) if (traitsApart(a, b, character)) pairs++;
  });
  return pairs;
}
