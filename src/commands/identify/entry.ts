import type { CommandEntry } from '../command.js';
import {
  fromOption,
  KEY_ARGUMENT,
  KEYS_OPTION,
  OVERWRITE_OPTION,
  STRICT_COLUMNS_OPTION,
} from '../shared-options.js';

/** What `identify` takes and does, for its help and the check of its command line. */
export const IDENTIFY: CommandEntry = {
  name: 'identify',
  purpose: 'identify',
  summary: 'Identify every collection of one or more tables or records.',
  arguments: [
    KEY_ARGUMENT,
    {
      name: 'TABLE...',
      help: 'collections as CSV, TSV, NDJSON, YAML or Darwin Core archive, or a record; - is the standard input',
    },
  ],
  options: [
    {
      flags: '--format <FORMAT>',
      help: 'how the results are written; dwc is a Darwin Core archive with the finds and what was seen on them',
      choices: ['table', 'csv', 'yaml', 'ndjson', 'dwc'],
      standard: 'table',
    },
    {
      flags: '--slips <N>',
      help: 'how many wrong observations away a taxon may be to be named as near',
      least: 0,
      standard: 1,
    },
    {
      flags: '--find <ID>',
      help: 'only the find of that id; mistakes in the others do not matter then',
      repeats: true,
    },
    {
      flags: '--full',
      help: 'say of each collection how it fits the descriptions, what one wrong observation would hide, and what to look at next',
    },
    {
      flags: '--rank <CRITERION>',
      help: 'rank what to look at next by harmful pairs parted, all pairs parted, information, taxa left, information for the effort, or cost to finish; a later one breaks ties',
      choices: ['harm', 'pairs', 'information', 'left', 'effort', 'finish'],
      repeats: true,
    },
    { flags: '-o, --out <FILE>', help: 'the file of the archive that --format dwc writes' },
    OVERWRITE_OPTION,
    { flags: '--strict', help: 'exit code 1 unless every collection comes down to one taxon' },
    {
      flags: '--keep-going',
      help: 'report collections that cannot be read among the results, with exit code 1, and go on',
    },
    fromOption('several'),
    STRICT_COLUMNS_OPTION,
    KEYS_OPTION,
  ],
  about: [
    'A row is a collection or one specimen of it (rows that follow each other with the same id belong together); a column is a character of the key or one of id, specimen, stage, date, place, region, by, habitat, note, photographs, leads, expect, or their Darwin Core names. A cell holds a state, several joined by |, a number with its unit, ? (looked, cannot tell) or - (does not apply); empty means not looked at. Rows with measurementType and measurementValue are read as well.',
    'A Darwin Core archive is a zip file with a meta.xml: its occurrences are the collections, its measurements or facts what was seen, with the id of a character as measurementType. Terms that mean nothing to a key are left alone. With --format dwc such an archive is written: an identification with the accepted name, and one for each taxon still possible; read again, it gives the same results.',
    'A record is a find as well, with all that was seen and answered in its determinations, whatever their key: an answer counts for what it says of single characters, and of two that differ the later one. What the key cannot use is said.',
    'A mistake in a table ends the results there: all mistakes are shown with line and column, and the exit code is 2.',
    'Results go to stdout, the summary and the cautions to stderr. KEYWRIGHT_POISON_CENTRE holds the telephone number that the cautions show.',
  ],
  examples: [
    {
      line: 'keywright identify tarn-wood-tufts season.csv',
      does: 'shows what each collection of the table can be, and what to do about it',
    },
    {
      line: 'keywright identify tarn-wood-tufts season.csv --find TH-2026-013',
      does: 'shows one find of the table on a screen: the verdict, what is possible, what to look at now',
    },
    {
      line: 'keywright identify tarn-wood-tufts season.csv --format ndjson > results.ndjson',
      does: 'writes the results for other programs',
    },
    {
      line: 'keywright identify tarn-wood-tufts season.csv --format dwc --out season.zip',
      does: 'writes finds and results as a Darwin Core archive for a biological records centre',
    },
    {
      line: 'keywright identify tarn-wood-tufts find-1.yaml find-2.yaml --format dwc --out finds.zip',
      does: 'makes an archive of finds that were keyed by hand',
    },
    {
      line: 'keywright identify tarn-wood-tufts season.csv --full',
      does: 'reports on each collection: what if something was misread, and what to look at next',
    },
  ],
  load: () => import('./command.js'),
};
