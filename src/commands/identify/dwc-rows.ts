/** Results as rows of Darwin Core: the find, what was seen on it, and what it was identified as. */
import type { CompiledKey } from '../../engine/compile.js';
import type { Determination } from '../../engine/determine.js';
import type { Candidate } from '../../engine/outcome.js';
import { lineage, lowestCommonTaxon } from '../../engine/verdict.js';
import type { Key, Taxon } from '../../key/key.js';
import { measurementLines, occurrenceLine } from '../../tables/dwc/rows.js';
import { IDENTIFICATION, rowLine, type TermCells } from '../../tables/dwc/terms.js';
import { defined } from '../../text/optional.js';
import { capital, count, inShort, listed } from '../../text/words.js';
import { cautions, concernText, verdictText } from '../../words/cautions.js';
import { shortPath, splitLabel } from '../../words/paths.js';
import { type Identified, mistakesOf } from '../../words/results.js';
import { furtherOf } from '../../words/worst-case.js';

/** Who identified, and when. */
interface Identifying {
  /** The program with its version. */
  readonly program: string;
  /** The day, as 2026-10-18. */
  readonly date: string;
}

/** Lines for each of the three files of an archive. */
interface DarwinCoreLines {
  readonly occurrence: string;
  readonly identification: string;
  readonly measurement: string;
}

type Identification = TermCells<typeof IDENTIFICATION>;

/** Not verified by anybody, in the list of HISPID and ABCD. */
const UNVERIFIED = '0';

/** Makes rows of what became of collections. */
export class DarwinCoreRows {
  readonly #always: Identification;
  /** The caution that goes with each identification; all of them are said when an archive is made. */
  readonly #caution = cautions(undefined)[0] ?? '';

  constructor(
    readonly key: CompiledKey,
    { program, date }: Identifying,
  ) {
    this.#always = {
      identifiedBy: program,
      dateIdentified: date,
      nameAccordingTo: cited(key.chain.main),
      identificationVerificationStatus: UNVERIFIED,
    };
  }

  lines(identified: Identified): DarwinCoreLines {
    const { taxa, characters } = this.key.chain;
    const collection =
      identified.kind === 'found' ? identified.found.collection : identified.entry.collection;
    const { id } = collection;
    const rows =
      identified.kind === 'found'
        ? this.#identifications(identified.found)
        : [{ isAcceptedIdentification: 'false', identificationRemarks: this.#unread(identified) }];
    return {
      occurrence: occurrenceLine(collection, (taxon) => taxa.get(taxon)?.name),
      identification: rows
        .map((row, i) =>
          rowLine(IDENTIFICATION, id, {
            ...this.#always,
            identificationReferences: this.#always.nameAccordingTo,
            identificationID: `${id}/${this.key.chain.main.id}/${i + 1}`,
            ...row,
          }),
        )
        .join(''),
      measurement: measurementLines(collection, characters),
    };
  }

  /** The accepted name first; where several taxa are left, a row for each of them follows. */
  #identifications(found: Determination): Identification[] {
    const { possible, candidates } = found;
    if (possible.length === 0)
      return [{ isAcceptedIdentification: 'false', identificationRemarks: this.#nothing(found) }];
    if (possible.length === 1) return [this.#accepted(found, candidates[0])];
    return [this.#accepted(found, undefined), ...candidates.map((c) => this.#candidate(c))];
  }

  #accepted(found: Determination, only: Candidate | undefined): Identification {
    const { possible, qualifier } = found;
    const { taxa } = this.key.chain;
    const common = lowestCommonTaxon(possible, taxa);
    const taxon = common === undefined ? undefined : lineage(common, taxa).find((t) => !isInformal(t));
    return {
      isAcceptedIdentification: 'true',
      ...(taxon === undefined ? {} : named(taxon)),
      verbatimIdentification: common !== undefined && isInformal(common) ? common.name : undefined,
      identificationQualifier: taxon === undefined ? 'indet.' : qualifier,
      taxonFormula: taxon === undefined ? undefined : qualifier === 'cf.' ? 'A cf.' : 'A',
      ...defined({ identificationReferences: only && this.#reference(only) }),
      identificationRemarks: this.#remarks(found),
    };
  }

  #candidate(candidate: Candidate): Identification {
    const { taxon, open } = candidate;
    return {
      isAcceptedIdentification: 'false',
      ...(isInformal(taxon)
        ? { taxonID: taxon.id, verbatimIdentification: taxon.name }
        : { ...named(taxon), taxonFormula: 'A ?' }),
      identificationQualifier: '?',
      identificationReferences: this.#reference(candidate),
      identificationRemarks: `Still possible${open === 0 ? '' : `, with ${count(open, 'open lead')} on the way to it`}.`,
    };
  }

  /** The key, the way through it, and the keys that it continues in. */
  #reference({ path }: Candidate): string {
    const { keys, main } = this.key.chain;
    const through = new Set(path.map((label) => splitLabel(label)[0]));
    const others = keys.filter((k) => k !== main && through.has(k.id)).map(cited);
    return [`${cited(main)}: ${shortPath(path, this.key)}`, ...others].join(' | ');
  }

  #remarks(found: Determination): string {
    const { possible, verdict, candidates, warnings } = found;
    const left = possible.map((t) => `${t.name} (${t.concern.level})`);
    return [
      verdictText(verdict, candidates, furtherOf(found)),
      ...(possible.length > 1 ? [`Still possible: ${listed(left)}.`] : []),
      ...warnings.map((w) => sentence(w.message)),
      this.#caution,
    ].join(' ');
  }

  #nothing(found: Determination): string {
    const near = found.near.map(
      ({ taxon, slips, recheck }) =>
        `${taxon.name} (${taxon.concern.level}; ${count(slips, 'slip')}${recheck.length === 0 ? '' : `: ${recheck.join(', ')}`})`,
    );
    return [
      verdictText(found.verdict, [], furtherOf(found)),
      ...found.warnings.map((w) => sentence(w.message)),
      ...(near.length === 0 ? [] : [`Nearest: ${listed(inShort(near))}.`]),
      this.#caution,
    ].join(' ');
  }

  #unread(identified: Extract<Identified, { kind: 'failed' }>): string {
    const wrong = mistakesOf(identified.entry).join('; ');
    return `Not identified: the find could not be read. ${sentence(wrong)} ${this.#caution}`;
  }
}

/** A group of look-alikes that a key made up: what it is called is no scientific name. */
function isInformal(taxon: Taxon): boolean {
  return taxon.rank === 'group';
}

function named(taxon: Taxon): Identification {
  const { authority, name, rank, common, id, concern } = taxon;
  return {
    scientificName: authority === undefined ? name : `${name} ${authority}`,
    scientificNameAuthorship: authority,
    taxonRank: rank,
    vernacularName: common.join(' | '),
    taxonID: id,
    taxonRemarks: `Recorded concern: ${concernText(concern)}.`,
  };
}

/** A key as one cites it. */
function cited({ authors, date, title, version, id }: Key): string {
  const year = date === undefined ? '' : ` ${date.slice(0, 4)}`;
  const who = authors.length === 0 ? '' : `${listed(authors)}${year}. `;
  return `${who}${title}. Key ${id}, version ${version}`;
}

function sentence(text: string): string {
  return `${capital(text)}${/[.?!]$/.test(text) ? '' : '.'}`;
}
