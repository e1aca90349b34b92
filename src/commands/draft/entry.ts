import type { CommandEntry } from '../command.js';
import { OVERWRITE_OPTION } from '../shared-options.js';

/** What `draft` takes and does, for its help and the check of its command line. */
export const DRAFT: CommandEntry = {
  name: 'draft',
  purpose: 'write',
  summary: 'Draft a key from a table of described taxa.',
  arguments: [{ name: 'TABLE', help: 'the described taxa: YAML, CSV or TSV; - is the standard input' }],
  options: [
    {
      flags: '--characters <FILE>',
      help: 'shared terms (NAME.terms.yaml) that define the columns of a CSV table: effort, reliability, units, what depends on what',
    },
    {
      flags: '--ask <COLUMN>',
      help: 'ask this column of a CSV or TSV table, such as habitat, which else is kept with each taxon as a remark',
      repeats: true,
    },
    {
      flags: '--language <TAG>',
      help: 'the language of the leads, where the table names none: en or de; in others signs stand for words',
    },
    {
      flags: '--revise <KEY>',
      help: 'bring this key up to date with the table instead, and change as little of it as can be; without --write or --out the key goes to stdout',
    },
    { flags: '--write', help: 'with --revise: change the key itself' },
    {
      flags: '--prefer <CRITERION>',
      help: 'what couplets are chosen for; given several times, the first counts most. effort: little effort to a name; short: few couplets, and where it is the first never more than without it; information: bits by frequency; pairs: many taxa separated at once; reliability: characters that are read right, by their reliability, ages and whether they are soon lost; harm: harmful taxa separated from others early. Without it: effort, then reliability, each only where the table says it; else what settles the most finds',
      choices: ['effort', 'short', 'information', 'pairs', 'reliability', 'harm'],
      repeats: true,
    },
    {
      flags: '--look-ahead <N>',
      help: 'how many couplets ahead are considered when one is chosen',
      least: 0,
      standard: 1,
    },
    {
      flags: '--leads <N>',
      help: 'the most leads a couplet may have; more than two only where each state has its own',
      least: 2,
      standard: 2,
    },
    {
      flags: '--couplets <N>',
      help: 'the most couplets there may be, by default ten a taxon; those that settle the fewest finds are left out first, and taxa end together',
      least: 1,
    },
    { flags: '-o, --out <FILE>', help: 'write the key to NAME.key.yaml, not to stdout' },
    OVERWRITE_OPTION,
    { flags: '--id <ID>', help: 'the id of the key; without it, made from the name of the file' },
    { flags: '--title <TITLE>', help: 'the title of the key' },
    { flags: '--group <WORDS>', help: 'for which organisms it is' },
    { flags: '--region <CODE>', help: 'a region it is for, such as GB-CMA', repeats: true },
    { flags: '--author <NAME>', help: 'who answers for it' },
  ],
  about: [
    'A YAML table is a key file without couplets: "keywright-taxa: 1", then characters and taxa with their traits; a key file itself is read as well, without its couplets. In CSV and TSV a row is a taxon and a column a character; the columns id, name, common, rank, authority, within, concern, effect, onset, concern-source, frequency, alike, synonyms, habitat, months and note are kept for these. Of these, habitat, months and note are asked only with --ask. A unit stands in the heading: "cap width (cm)", "cap width cm", "(inches)".',
    'Cells: states joined by " | ", numbers such as (3-)5-8(-12), "-" for what does not apply; empty or "?" is not described, and sends the taxon both ways.',
    'Taxa that vary are keyed out on both sides. A couplet is worth the finds that it settles, also where ranges or states overlap: where bills of 32-46 mm meet others of 41-60 mm, a bill under 41 mm is of one species only. Taxa end together where nothing described separates them; where what could is not described of all of them, or would settle hardly any find; where the key is to be short; or where one misread character would hide a harmful taxon. The key says why. One misread weak character never brings a harmful taxon to an end without recorded harm where every taxon at the end differs from it in a second one that can be asked there; where a taxon at the end differs in that one only, or no couplet asks a second, the report says BEWARE.',
    'With --revise a key that was drafted and then edited by hand is kept: numbers, words, order, comments and ends that its author has set. What the table says otherwise than the key is written into its descriptions; a taxon comes to every lead that its description allows now, and leaves those that it no longer allows; taxa that come together are parted by new couplets with the next free numbers; couplets at which nothing is left to choose go. A taxon, column or state under another name is known again when all that is said of it is the same. What could not be kept, or needs a person, is said after LOOK, with what diff and lint say; exit code 1 then.',
    'The report on stderr compares depth and effort with bounds that no key can beat. Couplets are chosen one by one, so a shorter key may exist; read the draft, try it on known specimens, and correct its words.',
  ],
  examples: [
    {
      line: 'keywright draft brackets.csv --out brackets.key.yaml',
      does: 'drafts a key from a table of taxa',
    },
    {
      line: 'keywright draft taxa.yaml --prefer short --prefer harm > short.key.yaml',
      does: 'prefers few couplets, then separating harmful taxa early',
    },
    {
      line: 'keywright draft brackets.csv --revise brackets.key.yaml --write',
      does: 'brings a key up to date with its table, and shows what has changed',
    },
  ],
  load: () => import('./command.js'),
};
