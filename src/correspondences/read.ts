import type { Finding, Path } from '../diagnostic/finding.js';
import { type Data, readYaml, type YamlText } from '../key/document.js';
import { asEntries, asMap, asText, Reporter, textsAt } from '../key/fields.js';
import { checkShape } from '../key/load.js';
import { validateCorrespondences } from '../key/validate.generated.js';
import { defined } from '../text/optional.js';

/** A key as the file names it. */
export interface NamedKey {
  readonly key: string;
  readonly version: string;
}

/** A state or taxon of the other key, and where it is named. */
export interface NamedOther {
  readonly other: string;
  readonly path: Path;
}

/** A character of one key beside one of the other, as it is written. */
export interface WrittenCharacter {
  readonly id: string;
  readonly is: string;
  /** By state of the one key, in the order of the file: the states of the other that it may be. */
  readonly states: readonly { readonly state: string; readonly others: readonly NamedOther[] }[];
  /** How many units of the other key one unit is, in digits. */
  readonly factor?: string;
  readonly confirmed: boolean;
  readonly remark?: string;
}

/** The ways in which a taxon may stand to one of the other key. */
export const taxonRelations = ['same', 'within', 'contains'] as const;
export type TaxonRelation = (typeof taxonRelations)[number];

/** A taxon of one key beside those of the other, as it is written. */
export interface WrittenTaxon {
  readonly id: string;
  readonly relations: readonly (NamedOther & { readonly how: TaxonRelation })[];
  readonly confirmed: boolean;
  readonly remark?: string;
}

/** A file of correspondences as it is written; whether its names are known is not looked at yet. */
export interface WrittenCorrespondences {
  readonly file: string;
  readonly yaml: YamlText;
  readonly from: NamedKey;
  readonly to: NamedKey;
  readonly characters: readonly WrittenCharacter[];
  readonly taxa: readonly WrittenTaxon[];
  /** Marks what is wrong with it, each thing at its place. */
  readonly report: Reporter;
}

/**
 * Reads a file of correspondences. What is wrong with its form is found at its place; nothing is given where it does not even say of
 * which keys it is.
 */
export function readCorrespondences(
  text: string,
  file: string,
): { readonly written: WrittenCorrespondences | undefined; readonly findings: readonly Finding[] } {
  const yaml = readYaml(text, file, { partly: true });
  const report = new Reporter(yaml);
  report.addFaultsOfText();
  if (yaml.data === undefined) return { written: undefined, findings: report.findings };
  checkShape(yaml, validateCorrespondences, 'correspondences', report);
  const root = asMap(yaml.data);
  const [from, to] = [namedKey(root.from), namedKey(root.to)];
  if (from === undefined || to === undefined) return { written: undefined, findings: report.findings };
  const written = {
    file,
    yaml,
    from,
    to,
    characters: asEntries(root.characters).flatMap(([id, data]) => character(id, data)),
    taxa: asEntries(root.taxa).map(([id, data]) => taxon(id, data)),
    report,
  };
  return { written, findings: report.findings };
}

function namedKey(data: Data | undefined): NamedKey | undefined {
  const { key, version } = asMap(data);
  return typeof key === 'string' ? { key, version: asText(version) ?? '' } : undefined;
}

function character(id: string, data: Data): WrittenCharacter[] {
  const { is, states, factor, confirmed, remark } = asMap(data);
  if (typeof is !== 'string') return [];
  return [
    defined({
      id,
      is,
      states: asEntries(states).map(([state, others]) => ({
        state,
        others: namedOthers(others, ['characters', id, 'states', state]),
      })),
      factor: asText(factor),
      confirmed: confirmed === 'yes',
      remark: asText(remark),
    }),
  ];
}

function taxon(id: string, data: Data): WrittenTaxon {
  const map = asMap(data);
  const relations = taxonRelations.flatMap((how) =>
    namedOthers(map[how], ['taxa', id, how]).map((named) => ({ ...named, how })),
  );
  return defined({ id, relations, confirmed: map.confirmed === 'yes', remark: asText(map.remark) });
}

function namedOthers(data: Data | undefined, path: Path): NamedOther[] {
  return textsAt(data, path).map(([other, at]) => ({ other, path: at }));
}
