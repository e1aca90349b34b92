/** Writes a drafted key as the text of a key file. */
import type { Data, DataMap } from '../../key/document.js';
import { asEntries, asMap, asText } from '../../key/fields.js';
import { WIDTH } from '../../key/scalars.js';
import { STAND_IN } from '../../key/stand-ins.js';
import {
  coupletLines,
  entries,
  entry,
  type Fields,
  inline,
  keyText,
  type LeadText,
  type Written,
} from '../../key/write.js';
import { harmless } from '../../text/harmless.js';
import { count } from '../../text/words.js';
import { charactersIn } from '../../traits/condition.js';
import { members, size } from './bits.js';
import type { Facts } from './facts.js';
import { coupletsOf, endsOf, type Grown } from './grow.js';
import { filled, type LeadWords, leadWordsOf } from './lead-words.js';
import type { LeadTests } from './splits.js';
import type { TaxaTable } from './table.js';
import { conditionOf, Wording } from './words.js';

/** The head of the key, where the table says nothing. */
export interface KeyHead {
  readonly id: string;
  readonly title: string;
  readonly date: string;
  /** Where the table names none. */
  readonly language?: string;
  readonly author?: string;
  readonly group?: string;
  readonly regions: readonly string[];
}

/** The text of a drafted key, and by number of couplet its place in the draft. */
interface WrittenKey {
  readonly text: string;
  readonly numbers: ReadonlyMap<Grown, number>;
}

/** The branch with fewer ends stands first, as it is printed best. */
export function ordered(grown: Grown): Grown {
  const ends = new Map<Grown, number>();
  const all = coupletsOf(grown);
  for (const couplet of [...all].reverse())
    ends.set(
      couplet,
      couplet.behind.reduce((sum, b) => sum + (ends.get(b) ?? 1), 0),
    );
  const turned = new Map<Grown, Grown>();
  for (const couplet of [...all].reverse()) {
    const order = couplet.behind.map((_, i) => i);
    order.sort(
      (a, b) =>
        (ends.get(couplet.behind[a] as Grown) ?? 1) - (ends.get(couplet.behind[b] as Grown) ?? 1) || a - b,
    );
    turned.set(couplet, {
      ...couplet,
      split: { leads: order.map((i) => couplet.split.leads[i] as LeadTests) },
      behind: order.map((i) => turned.get(couplet.behind[i] as Grown) ?? (couplet.behind[i] as Grown)),
    });
  }
  return turned.get(grown) ?? grown;
}

/** Puts a grown key into words. */
export function writeKey(
  table: TaxaTable,
  facts: Facts,
  grown: Grown,
  head: KeyHead,
  by: string,
): WrittenKey {
  const numbers = new Map<Grown, number>(coupletsOf(grown).map((c, i) => [c, i + 1]));
  const own = table.data;
  const language = table.key.language ?? head.language ?? 'en';
  const text = keyText({
    comments: [filled(leadWordsOf(language).draftedFrom, { table: table.file, version: by })],
    head: headLines(own, { ...head, language }, table),
    characters: characterLines(table, facts),
    couplets: draftedCouplets(facts, numbers, language),
    taxa: taxonLines(table, facts, grown, sourceId(own)),
    glossary: glossaryOf(table),
  });
  return { text, numbers };
}

function headLines(own: DataMap, head: KeyHead & { readonly language: string }, table: TaxaTable): string[] {
  const lines: string[] = [];
  const put = (name: string, otherwise: Data, hint = '') => {
    const said = own[name];
    const written = entry(name, said ?? otherwise, '');
    if (said === undefined && hint !== '' && written.length === 1) written[0] += ` # ${hint}`;
    lines.push(...written);
  };
  put('id', head.id);
  put('title', head.title);
  put('version', '0.1.0');
  put('date', head.date);
  put('language', head.language);
  put('licence', 'CC-BY-4.0', `${STAND_IN.mark}: the terms on which others may pass it on, as an SPDX name`);
  put('authors', [head.author ?? STAND_IN.author], head.author === undefined ? STAND_IN.mark : '');
  lines.push(...entry('sources', sourcesOf(table, head.language), ''));
  const scope = asMap(own.scope);
  const regions = head.regions.length === 0 ? [STAND_IN.region] : [...head.regions];
  const merged: Record<string, Data> = {
    group: head.group ?? STAND_IN.groupOfDraft,
    regions,
    ...scope,
  };
  const standIn =
    (scope.group === undefined && head.group === undefined) ||
    (scope.regions === undefined && head.regions.length === 0);
  if (standIn)
    lines.push(
      `# ${STAND_IN.mark}: say for which group and regions it is; ${STAND_IN.region} stands for no region`,
    );
  lines.push(...entry('scope', merged, ''));
  if (own.note !== undefined) lines.push(...entry('note', own.note, ''));
  return lines;
}

/** The id under which the table itself is a source. */
function sourceId(own: DataMap): string {
  const sources = asMap(own.sources);
  let id = 'table';
  for (let n = 2; Object.hasOwn(sources, id); n++) id = `table-${n}`;
  return id;
}

function sourcesOf(table: TaxaTable, language: string): DataMap {
  const sources: Record<string, Data> = Object.create(null);
  for (const { yaml } of table.terms)
    for (const [id, source] of asEntries(asMap(yaml.data).sources)) sources[id] = source;
  for (const [id, source] of asEntries(table.data.sources)) sources[id] = source;
  const needed = asEntries(table.data.taxa).some(([, taxon]) => {
    const { level, source } = asMap(asMap(taxon).concern);
    return level !== undefined && level !== 'unknown' && source === undefined;
  });
  if (needed || Object.keys(sources).length === 0)
    sources[sourceId(table.data)] = {
      cite: `${leadWordsOf(language).table} ${harmless(table.file.replace(/^.*[/\\]/, ''))}`,
    };
  return sources;
}

/** The characters of the table, and of shared terms those that are described or on which such depend. */
function characterLines(table: TaxaTable, facts: Facts): string[] {
  const needed = new Set<string>();
  const need = (id: string) => {
    if (needed.has(id)) return;
    needed.add(id);
    const gate = table.key.characters.get(id)?.appliesWhen;
    if (gate !== undefined) for (const other of charactersIn(gate)) need(other);
  };
  for (const taxon of facts.taxa) for (const id of taxon.traits.keys()) need(id);
  const lines: string[] = [];
  const written = new Set<string>();
  const put = (id: string, data: Data) => {
    if (written.has(id)) return;
    written.add(id);
    lines.push(...entry(id, data, '  '));
  };
  for (const [id, data] of asEntries(table.data.characters)) put(id, data);
  for (const { yaml } of table.terms)
    for (const [id, data] of asEntries(asMap(yaml.data).characters)) if (needed.has(id)) put(id, data);
  return lines;
}

/** The lines of drafted couplets, of all or of some; what is numbered is a couplet, everything else an end. */
export function draftedCouplets(
  facts: Facts,
  numbers: ReadonlyMap<Grown, string | number>,
  language: string,
  shown: ReadonlyMap<Grown, string | number> = numbers,
): string[] {
  const wording = new Wording(language);
  const said = leadWordsOf(language);
  return [...shown].flatMap(([couplet, number]) => {
    if (couplet.kind !== 'couplet') return [];
    const { split, behind, place } = couplet;
    const texts = wording.leads(split.leads, facts.characters);
    const leads = split.leads.map((lead, i): LeadText => {
      const next = behind[i] as Grown;
      return { fields: { lead: texts[i], when: whenOf(lead, facts), ...endOf(next, numbers, facts, said) } };
    });
    const sizes = behind.map((b) => size(b.place.taxa));
    return coupletLines(number, [partsWhat(size(place.taxa), sizes, said)], leads);
  });
}

function endOf(
  next: Grown,
  numbers: ReadonlyMap<Grown, string | number>,
  facts: Facts,
  said: LeadWords,
): Fields {
  const to = numbers.get(next);
  if (to !== undefined) return { to };
  const taxa = members(next.place.taxa).map((t) => facts.taxa[t]?.id ?? '');
  return taxa.length === 1
    ? { taxon: taxa[0] }
    : { taxon: taxa, note: said.together[next.kind === 'end' ? next.why : 'alike'] };
}

/** What stands above a couplet: how many taxa come there, and how many take each lead. */
export function partsWhat(taxa: number, sizes: readonly number[], said: LeadWords): string {
  const twice = sizes.reduce((a, b) => a + b, 0) - taxa;
  const more = twice > 0 ? `, ${filled(said.onSeveral, String(twice))}` : '';
  return `${count(taxa, ...said.taxa)}: ${sizes.join(` ${said.and} `)}${more}`;
}

function whenOf({ join, tests }: LeadTests, facts: Facts): Data | Written {
  const data = tests.map((t): DataMap => {
    const character = facts.characters[t.character];
    return character === undefined ? {} : { [character.id]: conditionOf(t, character) as Data };
  });
  if (join !== 'any') return Object.assign({}, ...data);
  return (label, indent) => {
    const short = `${indent}${label}: ${inline({ any: data })}`;
    const long = data.map((d) => `${indent}    - ${inline(d)}`);
    return short.length <= WIDTH ? [short] : [`${indent}${label}:`, `${indent}  any:`, ...long];
  };
}

function taxonLines(table: TaxaTable, facts: Facts, grown: Grown, source: string): string[] {
  const ends = facts.taxa.map(() => 0);
  for (const end of endsOf(grown)) for (const t of members(end.place.taxa)) ends[t] = (ends[t] as number) + 1;
  const number = new Map(facts.taxa.map((t, i) => [t.id, i]));
  return asEntries(table.data.taxa).flatMap(([id, data]) => {
    if (facts.leftOut.some((t) => t.id === id)) return [];
    const at = number.get(id);
    const out = taxonFields(id, asMap(data), at === undefined ? undefined : facts, source);
    const { traits, ...rest } = out;
    const repeats = at !== undefined && (ends[at] ?? 0) > 1 ? { repeats: 'meant' } : {};
    const shown = traits === undefined ? {} : { traits };
    return [`  ${inline(id) ?? id}:`, ...entries({ ...rest, ...repeats, ...shown }, '    ')];
  });
}

/**
 * What a key says of a taxon of the table: its harm where that is recorded, else that it is unknown, and the traits as they
 * are understood. Without `facts` it is a group that is not keyed out.
 */
export function taxonFields(
  id: string,
  fields: DataMap,
  facts: Facts | undefined,
  source: string,
): Record<string, Data> {
  const { traits, ...rest } = fields as Record<string, Data>;
  const out: Record<string, Data> = Object.assign(Object.create(null), rest);
  const concern = asMap(fields.concern);
  const level = asText(concern.level);
  if (level === undefined) {
    if (facts !== undefined) out.concern = { level: 'unknown' };
  } else if (level !== 'unknown' && concern.source === undefined) out.concern = { ...concern, source };
  const shown = facts === undefined ? traits : amendedTraits(id, asMap(traits), facts);
  if (shown !== undefined) out.traits = shown;
  return out;
}

function amendedTraits(taxon: string, traits: DataMap, facts: Facts): DataMap | undefined {
  const amended = facts.amended.filter((a) => a.taxon === taxon);
  const out: Record<string, Data> = Object.create(null);
  for (const [id, data] of asEntries(traits)) {
    const how = amended.find((a) => a.character === id)?.how;
    if (how === 'left out') continue;
    out[id] = how === 'partly' ? [...(Array.isArray(data) ? data : [data]), '-'] : data;
  }
  return Object.keys(out).length === 0 ? undefined : out;
}

function glossaryOf(table: TaxaTable): DataMap | undefined {
  const glossary: Record<string, Data> = Object.create(null);
  for (const { yaml } of table.terms)
    for (const [term, meaning] of asEntries(asMap(yaml.data).glossary)) glossary[term] = meaning;
  for (const [term, meaning] of asEntries(table.data.glossary)) glossary[term] = meaning;
  return Object.keys(glossary).length === 0 ? undefined : glossary;
}
