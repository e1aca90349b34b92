import type { Finding, Path } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import type { Character } from '../traits/character.js';
import { readCharacters } from './characters.js';
import { readCondition } from './conditions.js';
import { type Data, type DataMap, namesOf, type YamlText } from './document.js';
import { asEntries, asList, asMap, asNumbers, asText, asTexts, type Reporter, textsAt } from './fields.js';
import { readFigures } from './figures.js';
import {
  type Couplet,
  type End,
  type Key,
  type Lead,
  leadLabel,
  leadLetter,
  type Scope,
  type Source,
  type Taxon,
  type Terms,
  type UnknownParts,
} from './key.js';
import { readTaxa } from './taxa.js';

/**
 * Builds a Key from a parsed key file; `data` is what it holds, with authors' words as `AuthorsWords` says.
 * What has the wrong shape was reported by the schema and is left out here; what does not exist (characters,
 * states, taxa, couplets) is reported at its own place.
 */
export function buildKey(yaml: YamlText, data: Data, shared: readonly Terms[], report: Reporter): Key {
  const root = asMap(data);
  muteConsequences(root, report);
  const common = joinTerms(shared, report);
  const own = readCharacters(root.characters, common.characters, report);
  for (const id of own.keys()) {
    const first = common.places.get(id);
    if (first === undefined) continue;
    report.add(
      'id-unique',
      `character ${id} is already defined in ${first.file}, line ${first.start.line}`,
      ['characters', id],
      {
        side: 'name',
        found: id,
        expected: 'another id, or only one of the two',
        related: [{ message: 'the first one', place: first }],
      },
    );
  }
  const characters = new Map([...common.characters, ...own]);
  const taxa = readTaxa(root.taxa, characters, report);
  const couplets = new Map<string, Couplet>();
  for (const [id, leads] of asEntries(root.couplets)) {
    const path = ['couplets', id];
    couplets.set(id, {
      id,
      leads: asList(leads).map((lead, i) => readLead(asMap(lead), id, i, [...path, i], characters, report)),
    });
  }
  const doubled = [...couplets.keys()].filter((id) => isDuplicate(id, report));
  // Of two couplets with one number, one probably was to have a missing number.
  if (doubled.length > 0 && missingCouplets(couplets, asText(root.start)).size <= doubled.length)
    report.mute('target-exists');
  for (const couplet of report.checked ? [] : couplets.values())
    asList(asMap(root.couplets)[couplet.id]).forEach((fields, i) => {
      checkTargets(couplet.leads[i] as Lead, asMap(fields), couplets, taxa, report);
    });
  const start = readStart(asText(root.start), couplets, report);
  return Object.freeze(
    defined({
      file: yaml.file,
      id: asText(root.id) ?? '',
      title: asText(root.title) ?? '',
      version: asText(root.version) ?? '',
      date: asText(root.date),
      language: asText(root.language),
      licence: asText(root.licence),
      authors: asTexts(root.authors),
      sources: [...readSources(root.sources), ...common.sources],
      scope: readScope(asMap(root.scope), taxa, report),
      start,
      unknown: unknownParts(couplets, doubled.length > 0, report),
      uses: asTexts(root.uses),
      note: asText(root.note),
      characters,
      couplets,
      taxa,
      glossary: new Map([...common.glossary, ...readGlossary(root.glossary)]),
      yaml,
      characterPlace: (id: string) =>
        own.has(id) ? yaml.place(['characters', id], 'name') : common.places.get(id),
    }),
  ) as Key;
}

/** The missing couplets that leads, or the start, refer to. */
function missingCouplets(couplets: ReadonlyMap<string, Couplet>, start: string | undefined): Set<string> {
  const named = [...couplets.values()].flatMap((c) =>
    c.leads.flatMap(({ end }) => (end.kind === 'couplet' ? [end.couplet] : [])),
  );
  return new Set([...named, ...(start === undefined ? [] : [start])].filter((id) => !couplets.has(id)));
}

/** What errors leave open of a key as a whole; undefined when they leave nothing open. */
function unknownParts(
  couplets: ReadonlyMap<string, Couplet>,
  ways: boolean,
  report: Reporter,
): UnknownParts | undefined {
  const start = report.touched(['start']);
  const holders =
    report.findings.some(({ rule, place: { path } }) => {
      const [section, , line] = path;
      if (section !== 'taxa') return false;
      return (
        rule === 'id-unique' || rule === 'property-known' || rule === 'taxon-within' || line === 'within'
      );
    }) || [...couplets.values()].some((c) => c.leads.some((l) => report.touched(l.path, 'reaches')));
  return start || ways || holders ? { start, ways, holders } : undefined;
}

/** Where a whole part of a key is missing, findings at each place that depends on it would be noise. */
function muteConsequences(root: DataMap, report: Reporter): void {
  const missing = (part: string) => typeof root[part] !== 'object' || root[part] === null;
  if (missing('characters') && (root.characters !== undefined || strayLine(root, report)))
    report.mute('character-known');
  // Of two lists of characters, or of terms, only one was read.
  const twice = ({ rule, place: { path } }: Finding) =>
    rule === 'id-unique' && path.length === 1 && (path[0] === 'characters' || path[0] === 'uses');
  if (report.findings.some(twice)) report.mute('character-known');
  if (missing('taxa')) report.mute('taxon-known');
}

/** Whether the key has an unknown property, which may be a misspelt name of a missing part. */
function strayLine(root: DataMap, report: Reporter): boolean {
  return report.findings.some(
    ({ rule, place: { path } }) =>
      rule === 'property-known' && path.length === 1 && Object.hasOwn(root, path[0] ?? ''),
  );
}

/** Builds shared terms from a parsed terms file in the same way. */
export function buildTerms(yaml: YamlText, data: Data, report: Reporter): Terms {
  const root = asMap(data);
  return {
    characters: readCharacters(root.characters, new Map(), report),
    glossary: readGlossary(root.glossary),
    sources: readSources(root.sources),
    yaml,
  };
}

function joinTerms(shared: readonly Terms[], report: Reporter) {
  const characters = new Map<string, Character>();
  const places = new Map<string, ReturnType<YamlText['place']>>();
  const glossary = new Map<string, string>();
  const sources: Source[] = [];
  for (const terms of shared) {
    for (const [id, character] of terms.characters) {
      const first = places.get(id);
      const place = terms.yaml.place(['characters', id], 'name');
      if (first !== undefined) {
        report.add(
          'id-unique',
          `character ${id} is defined in ${first.file}, line ${first.start.line}, and in ${place.file}, line ${place.start.line}`,
          ['uses'],
          {
            found: id,
            expected: 'one definition',
            related: [
              { message: 'the first one', place: first },
              { message: 'the second one', place },
            ],
          },
        );
        // Which of the two is meant is not known.
        characters.set(id, { ...(characters.get(id) as Character), unread: true });
        continue;
      }
      characters.set(id, character);
      places.set(id, place);
    }
    for (const [term, meaning] of terms.glossary) glossary.set(term, meaning);
    sources.push(...terms.sources);
  }
  return { characters, places, glossary, sources };
}

function readLead(
  fields: DataMap,
  couplet: string,
  index: number,
  path: Path,
  characters: ReadonlyMap<string, Character>,
  report: Reporter,
): Lead {
  const when = readCondition(fields.when, [...path, 'when'], characters, report);
  const usually = readCondition(fields.usually, [...path, 'usually'], characters, report);
  const unread = isUnread(fields, path, report);
  const letter = leadLetter(index);
  return defined({
    letter,
    label: leadLabel(couplet, letter),
    text: asText(fields.lead) ?? '',
    when: unread ? undefined : when,
    usually: report.touched(path, 'usually') ? undefined : usually,
    otherwise: !unread && fields.otherwise === true,
    unread: unread ? true : undefined,
    end: readEnd(fields, path, report),
    reaches: asText(fields.reaches),
    note: asText(fields.note),
    figures: readFigures(fields.figures),
    path,
  });
}

/** Whether something is wrong with the condition of a lead, or with a line that may have been meant for one. */
function isUnread(fields: DataMap, path: Path, report: Reporter): boolean {
  if (!report.touched(path)) return false;
  const wrong = (name: string) => report.touched(path, name);
  if (wrong('when') || wrong('otherwise')) return true;
  if (fields.when !== undefined) return fields.otherwise !== undefined;
  return (
    fields.otherwise === undefined && namesOf(fields).some((name) => !LEAD_LINES.has(name) && wrong(name))
  );
}

const LEAD_LINES: ReadonlySet<string> = new Set([
  'lead',
  'to',
  'taxon',
  'key',
  'at',
  'usually',
  'reaches',
  'note',
  'figures',
]);

function isDuplicate(couplet: string, report: Reporter): boolean {
  if (!report.touched(['couplets', couplet])) return false;
  const twice = ({ rule, place: { path } }: Finding) =>
    rule === 'id-unique' && path.length === 2 && path[0] === 'couplets' && path[1] === couplet;
  return report.findings.some(twice);
}

function readEnd(fields: DataMap, path: Path, report: Reporter): End {
  const ends = ['to', 'taxon', 'key'].filter((name) => fields[name] !== undefined);
  // With two ends, or a duplicate couplet, it is not known which is meant.
  if (ends.length > 1 || ends.some((name) => report.touched(path, name))) return { kind: 'taxa', taxa: [] };
  const to = asText(fields.to);
  if (to !== undefined) {
    if (isDuplicate(to, report)) return { kind: 'taxa', taxa: [] };
    return { kind: 'couplet', couplet: to };
  }
  const key = asText(fields.key);
  if (key !== undefined) return defined({ kind: 'key', key, at: asText(fields.at) });
  return { kind: 'taxa', taxa: [...new Set(asTexts(fields.taxon))] };
}

function checkTargets(
  lead: Lead,
  fields: DataMap,
  couplets: ReadonlyMap<string, Couplet>,
  taxa: ReadonlyMap<string, Taxon>,
  report: Reporter,
): void {
  const { end } = lead;
  if (end.kind === 'couplet' && !couplets.has(end.couplet)) {
    report.unknown(
      'target-exists',
      `lead ${lead.label} goes to couplet ${quoted(end.couplet)}, which is not in this key`,
      end.couplet,
      [...couplets.keys()],
      [...lead.path, 'to'],
    );
  }
  if (end.kind === 'taxa' && taxa.size > 0) {
    for (const [taxon, path] of textsAt(fields.taxon, [...lead.path, 'taxon'])) {
      if (taxa.has(taxon)) continue;
      report.unknown(
        'target-exists',
        `lead ${lead.label} ends at taxon ${quoted(taxon)}, which is not in this key`,
        taxon,
        [...taxa.keys()],
        path,
      );
    }
  }
  if (lead.reaches !== undefined && end.kind !== 'key' && !taxa.has(lead.reaches)) {
    report.unknown(
      'taxon-known',
      `${quoted(lead.reaches)} is not a taxon of this key`,
      lead.reaches,
      [...taxa.keys()],
      [...lead.path, 'reaches'],
    );
  }
}

function readStart(
  start: string | undefined,
  couplets: ReadonlyMap<string, Couplet>,
  report: Reporter,
): string {
  const first = couplets.keys().next().value ?? '';
  if (start === undefined || couplets.has(start)) return start ?? first;
  report.unknown(
    'target-exists',
    `the key starts at couplet ${quoted(start)}, which is not in it`,
    start,
    [...couplets.keys()],
    ['start'],
  );
  return first;
}

function readScope(fields: DataMap, taxa: ReadonlyMap<string, Taxon>, report: Reporter): Scope {
  const within = asText(fields.within);
  if (within !== undefined && !taxa.has(within)) {
    report.unknown(
      'taxon-known',
      `${quoted(within)} is not a taxon of this key`,
      within,
      [...taxa.keys()],
      ['scope', 'within'],
    );
  }
  return defined({
    group: asText(fields.group),
    regions: asTexts(fields.regions),
    months: asNumbers(fields.months),
    stages: asTexts(fields.stages),
    complete: fields.complete === true,
    within,
    note: asText(fields.note),
  });
}

function readSources(data: Data | undefined): Source[] {
  return asEntries(data).map(([id, value]) => {
    const fields = asMap(value);
    return defined({
      id,
      cite: asText(fields.cite) ?? '',
      pages: asText(fields.pages),
      url: asText(fields.url),
      note: asText(fields.note),
    });
  });
}

function readGlossary(data: Data | undefined): Map<string, string> {
  return new Map(
    asEntries(data).flatMap(([term, meaning]) => (typeof meaning === 'string' ? [[term, meaning]] : [])),
  );
}
