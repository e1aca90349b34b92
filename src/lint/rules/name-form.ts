import type { Taxon } from '../../key/key.js';
import { quoted } from '../../text/harmless.js';
import { normalized } from '../../text/normalized.js';
import { defined } from '../../text/optional.js';
import { capital } from '../../text/words.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const nameForm = rule({
  id: 'name-form',
  group: 'terms and names',
  level: 'note',
  what: 'The name of a taxon is a name and nothing else, written as the Codes write it for its rank.',
  why: 'Names are matched with those in lists and records, where names with cf., sp., authors or the letter x are not found.',
  source:
    'International Code of Nomenclature (Shenzhen), Art. 23.1 and 23.4; ICZN, Art. 5.1, 5.3 and 6.1; Darwin Core, comment on scientificName (the sign × for hybrids); capitals, connecting words and diacritics from memory',
  fix: 'Put authors under `authority`, the kind of taxon under `rank`, and doubt into the `note`. Write hybrids with ×. Informal groups (rank: group) are named freely, and so are taxa whose name is also given under `common`.',
  good: example(`
couplets:
  1:
    - {lead: Cap red, taxon: [aa, bb]}
    - {lead: Cap brown, taxon: [cc, dd, ee]}
taxa:
  aa: {name: Atropa bella-donna, rank: species, authority: L.}
  bb: {name: Isoëtes durieui, rank: species}
  cc: {name: Aus bus subsp. cus, rank: subspecies}
  dd: {name: Mentha × piperita, rank: species}
  ee: {name: lesser spotted newt, rank: species, common: [lesser spotted newt]}
`),
  bad: example(`
couplets:
  1:
    - {lead: Cap red, taxon: [aa, bb]}
    - {lead: Cap brown, taxon: [cc, dd, ee]}
taxa:
  aa: {name: Galerina cf. marginata, rank: species} #! name-form
  bb: {name: galerina marginata, rank: species} #! name-form
  cc: {name: Amanita muscaria (L.) Lam., rank: species} #! name-form
  dd: {name: Mentha x piperita, rank: species} #! name-form
  ee: {name: Aus bus cus, rank: variety} #! name-form
`),
  check({ key, report }) {
    for (const taxon of key.taxa.values()) {
      const problem = problemOf(taxon);
      if (problem === undefined) continue;
      report(['taxa', taxon.id, 'name'], {
        message: `${quoted(taxon.name)} ${problem.message}`,
        found: taxon.name,
        ...defined({ expected: problem.expected }),
      });
    }
  },
});

interface NameProblem {
  readonly message: string;
  readonly expected?: string;
}

const QUALIFIER =
  /(?<![\p{L}.])(?:cf|aff|sp|spp|indet|agg|inc|stet|prox|nr|s\.\s?l|s\.\s?str|s\.\s?lat|sensu lato|sensu stricto|sensu|complex|group|gr)\.?(?![\p{L}-])|\?|\bsp\. ?nov\b/iu;
const GENUS_ONLY = new Set(['family', 'subfamily', 'tribe', 'genus']);
const BELOW_SPECIES: Readonly<Record<string, RegExp>> = {
  variety: /\bvar\./,
  form: /\b(?:f\.|fo\.|forma)(?=\s)/,
};

function problemOf({ name, rank, common }: Taxon): NameProblem | undefined {
  // What the key itself calls a common name is none of the Codes.
  if (rank === 'group' || common.some((c) => normalized(c) === normalized(name))) return undefined;
  const binomial = /^\p{Lu}\p{L}+ (?:× ?)?\p{Ll}[\p{Ll}-]+/u.test(name);
  // A name in everyday words, for a taxon without a rank, is not a scientific name.
  if (rank === undefined && !binomial && !/^\p{Lu}\p{Ll}+ (?:cf|aff|spp?|x)\b/u.test(name)) return undefined;
  const qualifier = QUALIFIER.exec(name);
  if (qualifier !== null)
    return {
      message: `holds ${quoted(qualifier[0])}, which is not part of a name`,
      expected: 'the name alone',
    };
  if (/\s{2,}|_|^\s|\s$/.test(name)) return { message: 'has spaces or signs that do not belong to it' };
  if (/(?:^|\s)[xX]\s(?=\p{L})/u.test(name))
    return { message: 'writes a hybrid with the letter x', expected: name.replace(/(^|\s)[xX]\s/u, '$1× ') };
  const odd = /[^\p{Script=Latin}\s.×()&,'’-]|[à-åç-êìíîñ-õøùúûýÀ-ÅÇ-ÊÌÍÎÑ-ÕØÙÚÛÝ]/u.exec(name);
  // `Cortinarius sect. Dermocybe` has a second capital of its own.
  const rest = withoutSubgenus(name).replace(/^\S+(?: (?:subg|sect|subsect|ser|subgen)\.? \S+)?/, '');
  const authors = /\(|&|,| (?:ex|et) |\s\p{Lu}/u.test(rest);
  if (authors) return { message: 'holds its authors', expected: 'authors under "authority"' };
  if (odd !== null) return { message: `holds ${quoted(odd[0])}, which scientific names do not have` };
  if (!/^(?:× ?)?\p{Lu}/u.test(name))
    return { message: 'does not begin with a capital', expected: capital(name) };
  const words = withoutSubgenus(name).replace(/× ?/gu, '').split(' ');
  if (rank !== undefined && GENUS_ONLY.has(rank) && words.length !== 1)
    return { message: `has ${words.length} words, and the name of a ${rank} has one` };
  if ((rank === 'species' || rank === 'aggregate') && words.length !== 2)
    return {
      message: `has ${words.length} ${words.length === 1 ? 'word' : 'words'}, and the name of a ${rank} has two`,
    };
  const marker = rank === undefined ? undefined : BELOW_SPECIES[rank];
  if (marker !== undefined && words.length > 2 && !marker.test(name))
    return {
      message: `does not say the rank of its last word`,
      expected: rank === 'variety' ? 'var.' : 'f.',
    };
  return undefined;
}

/** `Aus (Bus) cus`: a subgenus stands in brackets behind its genus, and is not counted among the words of the name (ICZN, Art. 6.1). */
function withoutSubgenus(name: string): string {
  return name.replace(/^(\p{Lu}\p{Ll}+) \(\p{Lu}\p{Ll}{2,}\)(?= \p{Ll}{2})/u, '$1');
}
