import { compareFindings, type Finding, hasErrors } from '../diagnostic/finding.js';
import { harmless, quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { defined } from '../text/optional.js';
import { inShort } from '../text/words.js';
import type { Character } from '../traits/character.js';
import { Reporter } from './fields.js';
import { backEdges, cyclicGroups, forwardOrder, shortestCycle } from './graph.js';
import { type Couplet, concernLevels, type Key, type Lead, type Taxon } from './key.js';
import { type AuthorsWords, type Found, type LoadedKey, loadKey, loadTerms, type Shelf } from './load.js';

/** A couplet of one of the keys of a chain. */
export interface Node {
  readonly key: Key;
  readonly couplet: Couplet;
  /** Where each lead continues: the number of a node, or -1 at an end. */
  readonly next: readonly number[];
  /** The numbers of the leads that run in a circle. Some of these lead nowhere here, so that the others go forward. */
  readonly circle?: ReadonlySet<number>;
}

/** A key with all keys that it can continue in. Nodes are in an order in which every lead goes forward. */
export interface Chain {
  readonly main: Key;
  /** The main key first, then the others in the order in which their leads name them. */
  readonly keys: readonly Key[];
  readonly nodes: readonly Node[];
  /** The node where the main key starts. */
  readonly start: number;
  /** The characters of all keys; one that several define has the states of all. */
  readonly characters: ReadonlyMap<string, Character>;
  /** The taxa of all keys; one that several define carries the worst concern. */
  readonly taxa: ReadonlyMap<string, Taxon>;
}

/** A loaded key and its chain; there is a chain only when nothing is wrong with any of its keys. */
export interface LoadedChain {
  readonly chain: Chain | undefined;
  readonly loaded: readonly LoadedKey[];
  readonly findings: readonly Finding[];
}

interface ChainOptions {
  /** Reads key files; one reader for several chains reads a key that they share only once. */
  readonly read?: KeyReader;
  /**
   * Errors in spite of which the keys are joined, for checking only: a key must not be run like that. Leads to a
   * missing couplet, taxon or key end where they stand, and so do those that lead back in a circle.
   */
  readonly tolerate?: (finding: Finding) => boolean;
  /** How the words of authors come into the keys, where no reader is given. Default: quoted, as they may be shown. */
  readonly words?: AuthorsWords;
}

/** Reads the text of a key file of that name. */
export type KeyReader = (text: string, file: string) => LoadedKey;

/** A reader that reads each key and each terms file once, as long as its text stays the same. */
export function keyReader(shelf: Shelf, words: AuthorsWords = 'quoted'): KeyReader {
  const termsOf = once((text, file) => loadTerms(text, file, words));
  return once((text, file) => loadKey(text, file, shelf, termsOf, words));
}

function once<T>(read: (text: string, file: string) => T): (text: string, file: string) => T {
  const known = new Map<string, { readonly text: string; readonly value: T }>();
  return (text, file) => {
    const before = known.get(file);
    if (before?.text === text) return before.value;
    const value = read(text, file);
    known.set(file, { text, value });
    return value;
  };
}

/** Loads a key and every key that it continues in, and checks that all of it is sound enough to run. */
export function loadChain(
  text: string,
  file: string,
  shelf: Shelf,
  { words, read = keyReader(shelf, words), tolerate = () => false }: ChainOptions = {},
): LoadedChain {
  return joinedChain(read(text, file), file, shelf, read, tolerate);
}

/** The same from a key that was read already; no text is parsed here but by the reader. */
export function joinedChain(
  first: LoadedKey,
  file: string,
  shelf: Shelf,
  read: KeyReader,
  tolerate: (finding: Finding) => boolean = () => false,
): LoadedChain {
  const loaded = [first];
  const findings: Finding[] = [...first.findings];
  const byFile = new Map<string, LoadedKey>([[file, first]]);
  const links = new Map<Lead, Key>();
  for (let i = 0; i < loaded.length; i++) {
    const { key, yaml } = loaded[i] as LoadedKey;
    if (key === undefined) continue;
    const report = new Reporter(yaml);
    const asked = new Map<string, Found>();
    for (const couplet of key.couplets.values()) {
      for (const lead of couplet.leads) {
        if (lead.end.kind !== 'key') continue;
        const reference = lead.end.key;
        const found = asked.get(reference) ?? shelf.key(reference, key.file);
        asked.set(reference, found);
        if (!found.ok) {
          const hint = found.nearest === undefined ? '' : `; did you mean ${found.nearest}?`;
          report.add(
            'target-exists',
            `lead ${lead.label} continues in key ${quoted(reference)}: ${found.problem}${hint}`,
            [...lead.path, 'key'],
            { found: reference, expected: 'the id or path of a key', nearest: found.nearest },
          );
          continue;
        }
        let next = byFile.get(found.file);
        if (next === undefined) {
          next = read(found.text, found.file);
          byFile.set(found.file, next);
          loaded.push(next);
          findings.push(...next.findings);
        }
        if (next.key !== undefined) link(lead, next.key, links, report);
      }
    }
    findings.push(...report.findings);
  }
  const keys = loaded.flatMap((l) => l.key ?? []);
  findings.push(...sameIds(keys));
  const characters = mergeCharacters(keys, findings);
  // Joined whatever else is wrong: a circle is found in any case.
  const joined = first.key === undefined ? undefined : joinKeys(first.key, keys, links, characters, findings);
  const chain = hasErrors(findings.filter((f) => !tolerate(f))) ? undefined : joined;
  return { chain, loaded, findings: unique(findings).sort(compareFindings) };
}

function link(lead: Lead, key: Key, links: Map<Lead, Key>, report: Reporter): void {
  links.set(lead, key);
  if (lead.end.kind !== 'key') return;
  const { at } = lead.end;
  if (at !== undefined && !key.couplets.has(at)) {
    report.unknown(
      'target-exists',
      `lead ${lead.label} continues at couplet ${quoted(at)} of key ${key.id}, which is not in it`,
      at,
      [...key.couplets.keys()],
      [...lead.path, 'at'],
    );
  }
  const own = report.yaml.data as { taxa?: Record<string, unknown> };
  if (lead.reaches !== undefined && own.taxa?.[lead.reaches] === undefined && !key.taxa.has(lead.reaches)) {
    report.unknown(
      'taxon-known',
      `${quoted(lead.reaches)} is not a taxon of this key or of ${key.id}`,
      lead.reaches,
      [...key.taxa.keys()],
      [...lead.path, 'reaches'],
    );
  }
}

/** Terms used by several keys of a chain would report their findings once for each. */
function unique(findings: readonly Finding[]): Finding[] {
  const seen = new Set<string>();
  return findings.filter((f) => {
    const mark = `${f.place.file}\0${f.place.start.offset}\0${f.rule}\0${f.message}`;
    return !seen.has(mark) && seen.add(mark);
  });
}

function sameIds(keys: readonly Key[]): Finding[] {
  const first = new Map<string, Key>();
  const findings: Finding[] = [];
  for (const key of keys) {
    const other = first.get(key.id);
    if (other === undefined) {
      first.set(key.id, key);
      continue;
    }
    const report = new Reporter(key.yaml);
    report.add(
      'id-unique',
      `two keys of this chain have the id ${key.id}; the other is ${other.file}`,
      ['id'],
      {
        found: key.id,
        expected: 'another id',
        related: [{ message: 'the other one', place: other.yaml.place(['id']) }],
      },
    );
    findings.push(...report.findings);
  }
  return findings;
}

function mergeCharacters(keys: readonly Key[], findings: Finding[]): Map<string, Character> {
  const merged = new Map<string, Character>();
  const owner = new Map<string, Key>();
  for (const key of keys) {
    for (const [id, character] of key.characters) {
      const known = merged.get(id);
      if (known === undefined) {
        merged.set(id, character);
        owner.set(id, key);
      } else if (known !== character) {
        const problem = known.unread || character.unread ? undefined : differs(known, character);
        if (problem === undefined) merged.set(id, joinStatesOf(known, character));
        else {
          const other = owner.get(id) as Key;
          const first = other.characterPlace(id);
          findings.push({
            rule: 'character-same',
            level: 'error',
            message: harmless(`${id} is ${problem} in ${other.id} but not in ${key.id}`),
            place: key.characterPlace(id) ?? key.yaml.place(['characters']),
            ...defined({ related: first && [{ message: `in ${other.id}`, place: first }] }),
          });
        }
      }
    }
  }
  return merged;
}

function differs(a: Character, b: Character): string | undefined {
  if (a.kind !== b.kind) return a.kind === 'choice' ? 'chosen from states' : `a ${a.kind}`;
  if (a.unit.dimension !== b.unit.dimension) return `in ${a.unit.id}`;
  return undefined;
}

function joinStatesOf(a: Character, b: Character): Character {
  const extra = b.states.filter((s) => !a.stateIndex.has(s.id));
  if (extra.length === 0) return a;
  const states = [...a.states, ...extra];
  return { ...a, states, stateIndex: new Map(states.map((s, i) => [s.id, i])) };
}

function mergeTaxa(keys: readonly Key[]): Map<string, Taxon> {
  const merged = new Map<string, Taxon>();
  for (const key of keys) {
    for (const [id, taxon] of key.taxa) {
      const known = merged.get(id);
      if (known === undefined) merged.set(id, taxon);
      else if (rank(taxon) < rank(known))
        merged.set(id, { ...known, concern: taxon.concern, concernStated: taxon.concernStated });
    }
  }
  return merged;
}

function rank(taxon: Taxon): number {
  return concernLevels.indexOf(taxon.concern.level);
}

function joinKeys(
  main: Key,
  keys: readonly Key[],
  links: ReadonlyMap<Lead, Key>,
  characters: ReadonlyMap<string, Character>,
  findings: Finding[],
): Chain | undefined {
  const numbers = new Map<Key, Map<string, number>>();
  const all: { key: Key; couplet: Couplet }[] = [];
  for (const key of keys) {
    const own = new Map<string, number>();
    for (const couplet of key.couplets.values()) own.set(couplet.id, all.push({ key, couplet }) - 1);
    numbers.set(key, own);
  }
  const nodeOf = (key: Key, couplet: string) => numbers.get(key)?.get(couplet) ?? -1;
  const next = all.map(({ key, couplet }) =>
    couplet.leads.map((lead) => {
      if (lead.end.kind === 'couplet') return nodeOf(key, lead.end.couplet);
      const other = links.get(lead);
      return lead.end.kind === 'key' && other !== undefined ? nodeOf(other, lead.end.at ?? other.start) : -1;
    }),
  );
  const successors = next.map((targets) => [...new Set(targets.filter((t) => t >= 0))]);
  const circles = new Map<number, Set<number>>();
  let order = forwardOrder(successors);
  if (order === undefined) {
    const back = backEdges(nodeOf(main, main.start), successors);
    for (const group of cyclicGroups(successors)) {
      findings.push(cycleFinding(shortestCycle(group, successors), all, next));
      const within = new Set(group);
      for (const n of group)
        circles.set(n, new Set((next[n] ?? []).flatMap((t, lead) => (within.has(t) ? [lead] : []))));
    }
    for (const [n, targets] of back) {
      next[n] = (next[n] ?? []).map((t) => (targets.has(t) ? -1 : t));
      successors[n] = (successors[n] ?? []).filter((t) => !targets.has(t));
    }
    order = forwardOrder(successors) as number[];
  }
  const place = new Array<number>(order.length).fill(0);
  order.forEach((node, i) => {
    place[node] = i;
  });
  const nodes = order.map((n) => {
    const circle = circles.get(n);
    return {
      ...(all[n] as { key: Key; couplet: Couplet }),
      next: (next[n] ?? []).map((t) => (t < 0 ? -1 : (place[t] as number))),
      ...defined({ circle }),
    };
  });
  return {
    main,
    keys,
    nodes,
    start: place[nodeOf(main, main.start)] ?? 0,
    characters,
    taxa: mergeTaxa(keys),
  };
}

function cycleFinding(
  cycle: readonly number[],
  all: readonly { key: Key; couplet: Couplet }[],
  next: readonly (readonly number[])[],
): Finding {
  const steps = cycle.map((node, i) => {
    const to = cycle[(i + 1) % cycle.length];
    const { key, couplet } = all[node] as { key: Key; couplet: Couplet };
    const lead = couplet.leads[next[node]?.indexOf(to as number) ?? 0] as Lead;
    return { key, couplet, lead };
  });
  const last = steps[steps.length - 1] as (typeof steps)[number];
  const first = steps[0] as (typeof steps)[number];
  const many = new Set(steps.map((s) => s.key)).size > 1;
  const name = (key: Key, text: string) => (many ? `${key.id}/${text}` : text);
  const route = [
    ...inShort(steps.map((s) => name(s.key, s.lead.label))),
    name(first.key, first.couplet.id),
  ].join(' → ');
  return {
    rule: 'path-acyclic',
    level: 'error',
    message:
      steps.length === 1
        ? `lead ${first.lead.label} leads back to its own couplet`
        : `the leads ${route} run in a circle`,
    place: last.key.yaml.place([...last.lead.path, last.lead.end.kind === 'key' ? 'key' : 'to']),
    related: steps
      .slice(0, -1)
      .slice(0, 20)
      .map((s) => ({
        message: name(s.key, s.lead.label),
        place: s.key.yaml.place(s.lead.path),
      })),
  };
}

/** How a node is written where its key must be clear: `7` in the main key, `key-id/7` elsewhere. */
export function nodeName(chain: Chain, index: number): string {
  const node = chain.nodes[index];
  if (node === undefined) return '';
  return node.key === chain.main ? node.couplet.id : `${node.key.id}/${node.couplet.id}`;
}

/** The nearest couplet reference of a chain, for messages. */
export function nearestNode(chain: Chain, reference: string): string | undefined {
  return nearest(
    reference,
    chain.nodes.map((_, i) => nodeName(chain, i)),
  );
}
