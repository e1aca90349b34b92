/** The terms of Darwin Core (TDWG) that are written, and the files of an archive that hold them. */

import { Failure } from '../../diagnostic/failure.js';
import { quoted } from '../../text/harmless.js';
import { LONGEST_ROW } from '../rows.js';

/** What the names of terms begin with. */
export const DWC = 'http://rs.tdwg.org/dwc/terms/';
/** The namespace of the file that describes an archive (Darwin Core text guide). */
export const DWC_TEXT = 'http://rs.tdwg.org/dwc/text/';

/** The file of an archive that says what its other files hold. */
export const META = 'meta.xml';

/** A file of the archives that are written: one row of terms after another. */
interface ArchiveFile {
  readonly name: string;
  /** The class of what a row stands for. */
  readonly rowType: string;
  /** The term of each column; in an extension a column with the id of the occurrence stands before them. */
  readonly terms: readonly string[];
  readonly extension: boolean;
}

/** One row a collection. */
export const OCCURRENCE = {
  name: 'occurrence.txt',
  rowType: 'Occurrence',
  extension: false,
  terms: [
    'occurrenceID',
    'basisOfRecord',
    'recordNumber',
    'recordedBy',
    'individualCount',
    'lifeStage',
    'eventDate',
    'habitat',
    'higherGeographyID',
    'countryCode',
    'stateProvince',
    'locality',
    'associatedMedia',
    'previousIdentifications',
    'occurrenceRemarks',
    'dynamicProperties',
  ],
} as const;

/** One row a name: the accepted one first, then each taxon still possible. */
export const IDENTIFICATION = {
  name: 'identification.txt',
  rowType: 'Identification',
  extension: true,
  terms: [
    'identificationID',
    'verbatimIdentification',
    'isAcceptedIdentification',
    'scientificName',
    'scientificNameAuthorship',
    'taxonRank',
    'vernacularName',
    'taxonID',
    'identificationQualifier',
    'taxonFormula',
    'identifiedBy',
    'dateIdentified',
    'nameAccordingTo',
    'identificationReferences',
    'identificationVerificationStatus',
    'identificationRemarks',
    'taxonRemarks',
  ],
} as const;

/** One row a thing seen. */
export const MEASUREMENT = {
  name: 'measurementorfact.txt',
  rowType: 'MeasurementOrFact',
  extension: true,
  terms: [
    'measurementID',
    'measurementType',
    'measurementValue',
    'measurementUnit',
    'materialEntityID',
    'lifeStage',
    'measurementRemarks',
  ],
} as const;

/** The files of an archive, the core first. */
export const ARCHIVE_FILES: readonly ArchiveFile[] = [OCCURRENCE, IDENTIFICATION, MEASUREMENT];

/** The cells of a row by their terms; what is left out is empty. */
export type TermCells<F extends ArchiveFile> = { readonly [T in F['terms'][number]]?: string | undefined };

/** The first line of a file. */
export function headerLine({ terms, extension }: ArchiveFile): string {
  return `${(extension ? ['coreid', ...terms] : terms).join(',')}\n`;
}

/** A row of a file; `id` is that of the occurrence. */
export function rowLine<F extends ArchiveFile>(file: F, id: string, cells: TermCells<F>): string {
  const given = cells as Readonly<Record<string, string | undefined>>;
  let line = file.extension ? cell(id) : '';
  file.terms.forEach((term, i) => {
    line += `${i > 0 || file.extension ? ',' : ''}${cell(given[term] ?? '')}`;
  });
  if (
    line.length > LONGEST_ROW / 4 &&
    file.name !== IDENTIFICATION.name &&
    Buffer.byteLength(line) > LONGEST_ROW
  )
    throw new Failure(
      `${quoted(id)} cannot be written: a row of ${file.name} would be longer than the ${LONGEST_ROW} bytes that are read of one`,
      { hint: 'shorten its note' },
    );
  return `${line}\n`;
}

/**
 * A cell so that it is read back as it is: in quotes wherever a reader might stop, trim or break. What no text file can
 * hold (a zero, half of a sign) is replaced by the sign for that.
 */
function cell(text: string): string {
  if (!SPECIAL.test(text)) return text;
  // biome-ignore lint/suspicious/noControlCharactersInRegex: a zero is what cannot be written
  const plain = text.replace(/\u0000|\p{Surrogate}/gu, '\ufffd');
  return `"${plain.replaceAll('"', '""')}"`;
}

// biome-ignore lint/suspicious/noControlCharactersInRegex: a zero is what cannot be written
const SPECIAL = /[",\r\n\u0000\ud800-\udfff]|^\s|\s$/;

/** What the archive says of its files. */
export function metaXml(program: string): string {
  const described = ARCHIVE_FILES.map((file) => {
    const { name, rowType, terms, extension } = file;
    const tag = extension ? 'extension' : 'core';
    const first = extension ? 1 : 0;
    return [
      `  <${tag} encoding="UTF-8" fieldsTerminatedBy="," linesTerminatedBy="\\n" fieldsEnclosedBy="&quot;" ignoreHeaderLines="1" rowType="${DWC}${rowType}">`,
      `    <files><location>${name}</location></files>`,
      `    <${extension ? 'coreid' : 'id'} index="0"/>`,
      ...terms.map((term, i) => `    <field index="${first + i}" term="${DWC}${term}"/>`),
      `  </${tag}>`,
    ].join('\n');
  });
  return `<?xml version="1.0" encoding="UTF-8"?>
<!-- Written by ${program.replaceAll('--', '')} -->
<archive xmlns="${DWC_TEXT}">
${described.join('\n')}
</archive>
`;
}
