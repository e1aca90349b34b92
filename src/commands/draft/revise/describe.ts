/** Writes into a key what a changed table says of characters and taxa. */
import { Failure } from '../../../diagnostic/failure.js';
import { valueAt } from '../../../key/data-path.js';
import { type Data, type DataMap, namesOf } from '../../../key/document.js';
import { asMap, asText } from '../../../key/fields.js';
import type { Key, Taxon } from '../../../key/key.js';
import type { KeyText } from '../../../key/keytext.js';
import { entries, entry, inline } from '../../../key/write.js';
import { quoted } from '../../../text/harmless.js';
import type { Facts } from '../facts.js';
import { allLeadWords, leadWordsOf } from '../lead-words.js';
import { taxonFields } from '../write.js';
import { type Alignment, markOf } from './align.js';

/** Adds characters and states that only the table has, and gives states their new names. */
export function writeCharacters(text: KeyText, key: Key, aligned: Alignment): void {
  const written = asMap(aligned.data.characters);
  const changed = new Set([...aligned.newStates, ...aligned.renamedStates].map((s) => s.character));
  for (const id of changed) writeStates(text, key, id, aligned);
  for (const { id } of aligned.newCharacters) {
    const own = aligned.characters.get(id) ?? id;
    const data = written[own] ?? {};
    if (text.has(['characters'])) text.addEntry(['characters'], entry(own, data, '  '), own, text.data(data));
    else
      text.addPairs(
        [],
        ['note', 'scope', 'sources', 'authors'],
        [['characters', text.data({ [own]: data })]],
      );
  }
}

function writeStates(text: KeyText, key: Key, id: string, { newStates, renamedStates }: Alignment): void {
  const path = ['characters', id, 'states'];
  const now = valueAt(key.yaml.data, path);
  if (now === undefined)
    throw new Failure(
      `${quoted(id)} has states in the table that ${key.file} does not know, and it is defined in shared terms`,
      {
        hint: `add ${newStates.find((s) => s.character === id)?.id ?? 'them'} there first`,
      },
    );
  const added = newStates.filter((s) => s.character === id);
  const renamed = renamedStates.filter((s) => s.character === id);
  if (!Array.isArray(now)) {
    text.addPairs(
      path,
      [],
      added.map((s) => [s.id, text.data(s.meaning)]),
    );
    for (const state of renamed) text.replaceValue([...path, state.id], text.data(state.meaning));
    return;
  }
  const plain = added.every((s) => s.meaning === s.id || s.meaning === s.id.replaceAll('-', ' '));
  if (plain && renamed.length === 0) {
    for (const state of added) text.addItem(path, text.data(state.id));
    return;
  }
  const states = (key.characters.get(id)?.states ?? []).map(
    (s) => renamed.find((r) => r.id === s.id) ?? { id: s.id, meaning: s.meaning },
  );
  text.replaceValue(path, text.data(Object.fromEntries([...states, ...added].map((s) => [s.id, s.meaning]))));
}

/** What is to be written of the taxa. */
interface Descriptions {
  /** The key with all characters and states of the table. */
  readonly key: Key;
  readonly aligned: Alignment;
  /** The taxa of the table as they are understood, in the terms of the key. */
  readonly facts: Facts;
  readonly taxa: ReadonlyMap<string, Taxon>;
}

/** Writes what the table says of each taxon, where the key says something else; returns the taxa whose traits differ. */
export function writeTaxa(text: KeyText, { key, aligned, facts, taxa }: Descriptions): Set<string> {
  const described = new Set<string>();
  const data = asMap(aligned.data.taxa);
  const source = sourceFor(text, key, data);
  const gone = new Set(aligned.goneCharacters.map((c) => c.id));
  for (const id of namesOf(data)) {
    const before = key.taxa.get(id);
    const keyed = facts.taxa.some((t) => t.id === id) ? facts : undefined;
    if (facts.leftOut.some((t) => t.id === id)) continue;
    const fields = taxonFields(id, asMap(data[id]), keyed, source);
    if (before === undefined) {
      text.addEntry(['taxa'], [`  ${inline(id) ?? id}:`, ...entries(fields, '    ')], id, text.data(fields));
      described.add(id);
      continue;
    }
    writeFields(text, key, id, asMap(data[id]), fields);
    const traits = asMap(fields.traits);
    const now = taxa.get(id);
    if (now === undefined || keyed === undefined) continue;
    const differs = (c: string) => {
      const amended = facts.amended.find((a) => a.taxon === id && a.character === c)?.how;
      const mark = amended === 'left out' ? '' : markOf(now.traits.get(c));
      return mark + (amended === 'partly' ? ' or not' : '') !== markOf(before.traits.get(c));
    };
    const changed = [...key.characters.keys()].filter((c) => !gone.has(c) && differs(c));
    if (changed.length === 0) continue;
    described.add(id);
    writeTraits(text, key, id, traits, changed);
  }
  return described;
}

function writeTraits(text: KeyText, key: Key, id: string, traits: DataMap, changed: readonly string[]): void {
  const path = ['taxa', id, 'traits'];
  const own = asMap(valueAt(key.yaml.data, path) as Data | undefined);
  const lost = changed.filter((c) => own[c] !== undefined && traits[c] === undefined);
  const staying = namesOf(own).filter((c) => !lost.includes(c));
  if (staying.length === 0) {
    const all = text.data(traits);
    if (text.has(path)) text.replaceValue(path, all);
    else text.addPairs(['taxa', id], ['concern', 'rank', 'name'], [['traits', all]]);
    return;
  }
  text.removeFrom(path, new Set(lost));
  const order = [...key.characters.keys()];
  for (const c of changed) {
    const value = traits[c];
    if (value === undefined) continue;
    if (own[c] !== undefined) text.replaceValue([...path, c], text.data(value));
    else {
      const before = order.slice(0, order.indexOf(c)).filter((o) => staying.includes(o));
      text.addPairs(path, before.reverse(), [[c, text.data(value)]]);
    }
  }
}

/** The fields besides traits: what the table says is written, and what only the key says stays. */
function writeFields(text: KeyText, key: Key, id: string, said: DataMap, fields: DataMap): void {
  const own = asMap(valueAt(key.yaml.data, ['taxa', id]) as Data | undefined);
  const order = namesOf(fields);
  for (const name of namesOf(said)) {
    if (name === 'traits') continue;
    const value =
      name === 'concern'
        ? concernOf(asMap(own.concern), asMap(said.concern), asMap(fields.concern))
        : said[name];
    if (value === undefined || JSON.stringify(value) === JSON.stringify(own[name])) continue;
    const path = ['taxa', id, name];
    if (own[name] !== undefined) text.replaceValue(path, text.data(value));
    else
      text.addPairs(['taxa', id], [...order.slice(0, order.indexOf(name))].reverse(), [
        [name, text.data(value)],
      ]);
  }
}

/** Harm by the table; what only the key says of it stays with it. */
function concernOf(own: DataMap, said: DataMap, written: DataMap): Data {
  const out: Record<string, Data> = { ...own, ...said } as Record<string, Data>;
  if (out.source === undefined && written.source !== undefined) out.source = written.source;
  return out;
}

/** The id of the table among the sources; it is added where harm rests on it and the key has no such source. */
function sourceFor(text: KeyText, key: Key, taxa: DataMap): string {
  const known = key.sources.find(
    (s) => s.id === 'table' || allLeadWords.some((w) => s.cite.startsWith(w.table)),
  )?.id;
  if (known !== undefined) return known;
  const needed = namesOf(taxa).some((id) => {
    const { level, source } = asMap(asMap(taxa[id]).concern);
    const own = key.taxa.get(id)?.concern;
    return (
      level !== undefined && asText(level) !== 'unknown' && source === undefined && own?.source === undefined
    );
  });
  if (needed) {
    const cite = { cite: leadWordsOf(key.language).table };
    if (text.has(['sources']))
      text.addEntry(['sources'], [`  table: ${text.data(cite)}`], 'table', text.data(cite));
    else text.addPairs([], ['authors', 'licence', 'version'], [['sources', text.data({ table: cite })]]);
  }
  return 'table';
}
