/**
 * Every command, in the order of the help. Adding one: its module beside this file, exporting `action`, and
 * an entry here. Modules are loaded when the command is asked for, never before.
 */
import type { CommandEntry, OptionEntry } from './command.js';

/** Where keys are looked for by id; the same for every command that takes a KEY. */
export const KEYS_OPTION: OptionEntry = {
  flags: '--keys <DIR>',
  help: 'a further folder to look for keys in, besides ./keys and the folder of the key itself',
  repeats: true,
};

/** The operand that names a key. */
export const KEY_ARGUMENT = {
  name: 'KEY',
  help: 'a key file, or the id of a key in ./keys or in a folder given by --keys',
} as const;

/** The commands. */
export const COMMANDS: readonly CommandEntry[] = [
  {
    name: 'run',
    purpose: 'identify',
    summary: 'Key out one find, couplet by couplet.',
    arguments: [KEY_ARGUMENT],
    options: [
      {
        flags: '--with <FILE>',
        help: 'start from what was seen: a table of collections with one find in it',
      },
      { flags: '--id <TEXT>', help: 'the find to take from the table; without one, a name for the find' },
      { flags: '--record <FILE>', help: 'keep the determination there, written anew after every answer' },
      { flags: '--resume <FILE>', help: 'go on with the determination kept there' },
      KEYS_OPTION,
    ],
    about: [
      'In a terminal, one key press is an answer: the letter of a lead, or ? when you cannot tell; H shows all keys. Couplets that follow from what is known answer themselves.',
      'Without a terminal, each line of the input is an answer: a letter, ?, back, note TEXT, terms, look, stop (show the result with all that is still possible) or leave. When they run out before the end, the exit code is 2.',
      'The couplets go to stderr, the result to stdout. KEYWRIGHT_POISON_CENTRE holds the telephone number that the cautions show.',
    ],
    examples: [
      {
        line: 'keywright run tarn-wood-tufts --record find.yaml',
        does: 'keys out a find with the key of that id and keeps the determination',
      },
      {
        line: "printf 'b\\nc\\na\\na\\n' | keywright run tarn-wood-tufts",
        does: 'answers the couplets from a pipe',
      },
    ],
    load: () => import('./run.js'),
  },
  {
    name: 'identify',
    purpose: 'identify',
    summary: 'Identify every collection of one or more tables.',
    arguments: [
      KEY_ARGUMENT,
      {
        name: 'TABLE...',
        help: 'collections as CSV, TSV, NDJSON or YAML; - is the standard input',
      },
    ],
    options: [
      {
        flags: '--format <FORMAT>',
        help: 'how the results are written',
        choices: ['table', 'csv', 'yaml', 'ndjson'],
        standard: 'table',
      },
      {
        flags: '--slips <N>',
        help: 'how many wrong observations away a taxon may be to be named as near',
        least: 0,
        standard: 1,
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
      { flags: '--strict', help: 'exit code 1 unless every collection comes down to one taxon' },
      {
        flags: '--keep-going',
        help: 'report collections that cannot be read among the results, with exit code 1, and go on',
      },
      {
        flags: '--from <FORMAT>',
        help: 'how the tables are written; without it their names and first letters tell',
        choices: ['csv', 'tsv', 'ndjson', 'yaml'],
      },
      KEYS_OPTION,
    ],
    about: [
      'A row is a collection or one specimen of it (rows that follow each other with the same id belong together); a column is a character of the key or one of id, specimen, stage, date, place, region, by, habitat, note, leads, expect, or their Darwin Core names. A cell holds a state, several joined by |, a number with its unit, ? (looked, cannot tell) or - (does not apply); empty means not looked at. Rows with measurementType and measurementValue are read as well.',
      'A mistake in a table ends the results there: all mistakes are shown with line and column, and the exit code is 2.',
      'Results go to stdout, the summary and the cautions to stderr. KEYWRIGHT_POISON_CENTRE holds the telephone number that the cautions show.',
    ],
    examples: [
      {
        line: 'keywright identify tarn-wood-tufts season.csv',
        does: 'shows what each collection of the table can be, and what to do about it',
      },
      {
        line: 'keywright identify tarn-wood-tufts season.csv --format ndjson > results.ndjson',
        does: 'writes the results for other programs',
      },
      {
        line: 'keywright identify tarn-wood-tufts season.csv --full',
        does: 'reports on each collection: what if something was misread, and what to look at next',
      },
    ],
    load: () => import('./identify.js'),
  },
  {
    name: 'compare',
    purpose: 'identify',
    summary: 'Take the same collections through several keys, side by side.',
    arguments: [
      { name: 'KEY...', help: 'key files, or ids of keys; with one key, finds are compared with each other' },
    ],
    options: [
      {
        flags: '--with <TABLE>',
        help: 'the collections, as for identify; a column that no key knows is a mistake; - is the standard input',
      },
      {
        flags: '--find <ID>',
        help: 'with one key: a find to compare, the first with each of the others',
        repeats: true,
      },
      {
        flags: '--format <FORMAT>',
        help: 'how the results are written',
        choices: ['text', 'ndjson', 'yaml'],
        standard: 'text',
      },
      { flags: '--strict', help: 'exit code 1 unless the keys (or the finds) agree throughout' },
      {
        flags: '--from <FORMAT>',
        help: 'how the table is written; without it its name and first letters tell',
        choices: ['csv', 'tsv', 'ndjson', 'yaml'],
      },
      KEYS_OPTION,
    ],
    about: [
      'Taxa of different keys are the same when they have the same id or name, or when one has the other among its synonyms. For each collection stand what each key leaves, what all and what any of them leave, the lowest taxon that holds all of it, the first couplet where the ways part, and what a key does not hold at all. The verdict goes by the worst that any of the keys leaves.',
      'A character that only some of the keys know is passed over by the others. A state that a key does not know counts as "cannot tell" there. A number without a unit is in the unit of the first key that has the character, and a couplet without the id of a key is one of the first key.',
      'With one key, a second gathering is checked against the first: what agrees, what contradicts, and which taxa both may be.',
    ],
    examples: [
      {
        line: 'keywright compare tarn-wood-tufts my-tufts.key.yaml --with season.csv',
        does: 'shows for each collection where two keys agree and where they part',
      },
      {
        line: 'keywright compare tarn-wood-tufts --with season.csv --find TH-7 --find TH-19',
        does: 'checks a second gathering against the first',
      },
    ],
    load: () => import('./compare.js'),
  },
  {
    name: 'sheet',
    purpose: 'identify',
    summary: 'Make a field sheet: what to look at, fresh, on which age, with which tools.',
    arguments: [{ name: 'KEY...', help: 'the keys that will be used: key files, or ids of keys' }],
    options: [
      {
        flags: '--format <FORMAT>',
        help: 'what is written (text when not given); html prints on one page for a key of usual size',
        choices: ['text', 'markdown', 'html'],
      },
      { flags: '--csv', help: 'the empty table instead, as identify reads it' },
      { flags: '--specimens <N>', help: 'how many specimens have a column', least: 1, standard: 3 },
      { flags: '--look', help: 'say how each character is looked at' },
      { flags: '-o, --out <FILE>', help: 'write it there instead of to stdout' },
      { flags: '--overwrite', help: 'let --out replace a file that this command did not write' },
      KEYS_OPTION,
    ],
    about: [
      'Only what some couplet or description of the keys (and of those they go on in) uses is on the sheet. What is soon lost comes first, then what shows on any age, on young, on mature specimens, then what takes more than an hour. Within each, what the keys ask earliest and most often comes first.',
    ],
    examples: [
      {
        line: 'keywright sheet tarn-wood-tufts --format html --out sheet.html',
        does: 'makes a sheet to print before going out',
      },
      {
        line: 'keywright sheet tarn-wood-tufts --csv > season.csv',
        does: 'begins a table of finds; keywright identify tarn-wood-tufts season.csv reads it',
      },
    ],
    load: () => import('./sheet.js'),
  },
  {
    name: 'lint',
    purpose: 'check',
    summary: 'Check keys for every fault, with a find that shows it.',
    arguments: [
      {
        name: 'KEY...',
        help: 'key files, ids of keys, or folders of keys; - is a key on the standard input',
      },
    ],
    options: [
      {
        flags: '--format <FORMAT>',
        help: 'how the findings are written',
        choices: ['text', 'json', 'sarif', 'github'],
        standard: 'text',
      },
      {
        flags: '--by <ORDER>',
        help: 'findings by their place in the file, or counted by rule and then couplet by couplet',
        choices: ['place', 'couplet'],
        standard: 'place',
      },
      {
        flags: '--rule <RULE=LEVEL>',
        help: 'set a rule to off, note, warning or error, whatever .keywright.yaml says',
        repeats: true,
      },
      { flags: '--max-warnings <N>', help: 'exit code 1 when there are more warnings', least: 0 },
      { flags: '-q, --quiet', help: 'show errors only, and no summary' },
      { flags: '--fix', help: 'make the mends that keep the meaning, and show what is left' },
      { flags: '--diff', help: 'show what --fix would change, and change nothing' },
      { flags: '--baseline <FILE>', help: 'a list of old findings that are accepted' },
      { flags: '--update-baseline', help: 'write all present findings to that list' },
      { flags: '--output <FILE>', help: 'write the report there instead of to stdout' },
      { flags: '--watch', help: 'check again whenever a file changes, until ^C' },
      { flags: '--stdin-name <NAME>', help: 'the file name under which the key on stdin is checked' },
      KEYS_OPTION,
    ],
    about: [
      'Each key is checked with the keys it goes on in. Folders are searched for *.key.yaml, hidden ones and node_modules left out.',
      'A comment "# allow RULE: reason" on or above a line lets a finding stand there; above a couplet, a taxon or a character it holds for all of it. A file .keywright.yaml sets rules for its folder and those below: "rules: {leads-parallel: off}".',
      '--fix numbers couplets in reading order, corrects a misspelt target where only one is near, marks "not as above" as otherwise, and puts the lines of leads in order where that rule is on. --diff ends with exit code 1 when something would change.',
      'Findings go to stdout, the summary to stderr. Warnings and notes alone give exit code 0.',
    ],
    examples: [
      { line: 'keywright lint keys', does: 'checks every key of a folder, and what each goes on in' },
      {
        line: 'keywright lint tarn-wood-tufts --by couplet',
        does: 'shows one key couplet by couplet, after counts by rule',
      },
      {
        line: 'keywright lint keys --format sarif --output lint.sarif',
        does: 'writes the findings for code hosting and editors',
      },
    ],
    load: () => import('./lint.js'),
  },
  {
    name: 'explain',
    purpose: 'check',
    summary: 'Explain a rule of lint, or list all rules.',
    arguments: [{ name: '[RULE]', help: 'the id of a rule, as it stands in brackets after a finding' }],
    options: [
      {
        flags: '--format <FORMAT>',
        help: 'how it is written',
        choices: ['text', 'json'],
        standard: 'text',
      },
    ],
    examples: [
      {
        line: 'keywright explain leads-exclusive',
        does: 'says what the rule wants, why, and how to mend a key',
      },
    ],
    load: () => import('./explain.js'),
  },
  {
    name: 'show',
    purpose: 'read',
    summary: 'Show what a key is like: size, depth, balance, characters, ways.',
    arguments: [KEY_ARGUMENT],
    options: [
      { flags: '--format <FORMAT>', help: 'how it is written', choices: ['text', 'json'], standard: 'text' },
      KEYS_OPTION,
    ],
    about: [
      'Depth is counted in couplets and stands beside what no key for as many answers can be better than, and beside a ladder, the longest shape of use. Where taxa have a frequency, the mean by frequency stands beside the best that Huffman and Shannon allow.',
      'What is told apart are answers: taxa that end together are one, and so is a key that a lead goes on in.',
    ],
    examples: [
      { line: 'keywright show tarn-wood-tufts', does: 'shows how long the key is, and how long it need be' },
    ],
    load: () => import('./show.js'),
  },
  {
    name: 'draw',
    purpose: 'read',
    summary: 'Draw a key as a picture.',
    arguments: [KEY_ARGUMENT],
    options: [
      {
        flags: '--format <FORMAT>',
        help: 'a picture, or a text from which other programs make one',
        choices: ['svg', 'dot', 'mermaid'],
        standard: 'svg',
      },
      {
        flags: '--leads <HOW>',
        help: 'leads with all their words, or one line of each',
        choices: ['full', 'short'],
        standard: 'full',
      },
      {
        flags: '--findings <LEVEL>',
        help: 'what lint finds is marked, down to this level',
        choices: ['error', 'warning', 'note', 'none'],
        standard: 'warning',
      },
      {
        flags: '--levels <N>',
        help: 'how many couplets deep a branch of the picture goes before it starts at the left again (8 when not given)',
        least: 2,
      },
      {
        flags: '--together <N>',
        help: 'about how many couplets are drawn together before branches start at the left again (32 when not given)',
        least: 2,
      },
      { flags: '--renumber', help: 'number the couplets in reading order, in the picture only' },
      { flags: '--chain', help: 'draw the keys that it goes on in as well' },
      { flags: '-o, --out <FILE>', help: 'write it there instead of to stdout' },
      { flags: '--overwrite', help: 'let --out replace a file that this command did not write' },
      KEYS_OPTION,
    ],
    about: [
      'Branches go from left to right in reading order. The harm recorded for an end is written in words and shown by how dark the end and how dense its pattern is, so that it can be told on grey paper and by every eye.',
    ],
    examples: [
      {
        line: 'keywright draw tarn-wood-tufts --out tufts.svg',
        does: 'draws a key, with what lint finds in it',
      },
      {
        line: 'keywright draw gill-genera --chain --format dot',
        does: 'writes a graph of a key and all it goes on in',
      },
    ],
    load: () => import('./draw.js'),
  },
  {
    name: 'new',
    purpose: 'write',
    summary: 'Begin a key: a sound file with comments to go on from.',
    arguments: [
      {
        name: '[FILE]',
        help: 'the file to write, NAME.key.yaml; without it the title names it, in ./keys where that is there',
      },
    ],
    options: [
      { flags: '--title <TEXT>', help: 'the title; with it nothing is asked' },
      { flags: '--group <TEXT>', help: 'the organisms it is for' },
      { flags: '--region <CODE>', help: 'a region it is for, as GB-CMA', repeats: true },
      { flags: '--characters <LIST>', help: 'characters: "spore print: white, rust; ring: present, absent"' },
      { flags: '--lead <TEXT>', help: 'a lead of the first couplet; given twice', repeats: true },
      { flags: '--author <TEXT>', help: 'who writes it' },
    ],
    about: [
      'Without --title, a few questions are asked: title, group, regions, characters, two leads. Through a pipe, each line is an answer; an empty line leaves one open.',
      'A file that is there is never replaced. What you leave open has a stand-in, marked as such, so that the file passes lint from the first day.',
    ],
    examples: [
      { line: 'keywright new', does: 'asks, and writes the file' },
      {
        line: 'keywright new beetles.key.yaml --title "Beetles of dead wood, Tarn Hollow" --region GB-CMA',
        does: 'writes the file without asking',
      },
    ],
    load: () => import('./new.js'),
  },
  {
    name: 'print',
    purpose: 'write',
    summary: 'Print a key in one of the classical layouts.',
    arguments: [KEY_ARGUMENT],
    options: [
      {
        flags: '--layout <LAYOUT>',
        help: 'the leads of a couplet together, or each lead followed by everything under it',
        choices: ['bracketed', 'indented'],
        standard: 'bracketed',
      },
      {
        flags: '--format <FORMAT>',
        help: 'what is written; html prints well on A5 and A4',
        choices: ['text', 'markdown', 'html'],
        standard: 'text',
      },
      { flags: '--width <N>', help: 'the width of text; else that of the terminal, or 80', least: 40 },
      {
        flags: '--paper <SIZE>',
        help: 'fix the paper of html; else the printer decides',
        choices: ['a5', 'a4'],
      },
      {
        flags: '--levels <N>',
        help: 'how many levels deep the indented layout goes before it starts at the margin again (8 when not given)',
        least: 2,
      },
      { flags: '--renumber', help: 'number the couplets in reading order, in the print only' },
      { flags: '--write', help: 'put the couplets of the file itself in reading order, then print' },
      { flags: '--chain', help: 'print the keys that it goes on in after it' },
      { flags: '--brief', help: 'leave out scope, notes, taxa, terms and sources' },
      { flags: '-o, --out <FILE>', help: 'write it there instead of to stdout' },
      { flags: '--overwrite', help: 'let --out replace a file that this command did not write' },
      KEYS_OPTION,
    ],
    about: [
      'Behind the number of a couplet stand, in brackets, all leads that lead to it. A couplet that several leads lead to is printed once. Behind a name stands, in words, the harm that is recorded for it.',
      '--write moves and numbers the couplets in the file and keeps its comments and layout. Keys that go on in this one at a certain couplet are named, for they are not changed.',
      'KEYWRIGHT_POISON_CENTRE holds the telephone number that the cautions show.',
    ],
    examples: [
      {
        line: 'keywright print tarn-wood-tufts --format html --out tufts.html',
        does: 'makes a page for a browser and for paper',
      },
      { line: 'keywright print tarn-wood-tufts --layout indented', does: 'shows how the key branches' },
    ],
    load: () => import('./print.js'),
  },
  {
    name: 'import',
    purpose: 'write',
    summary: 'Make a key file from the plain text of a printed key.',
    arguments: [{ name: 'TEXT', help: 'the text of the printed key; - is the standard input' }],
    options: [
      {
        flags: '--layout <LAYOUT>',
        help: 'how the key is laid out; without it the layout that holds together best is taken',
        choices: ['numbered', 'first-numbered', 'serial', 'outline', 'indented'],
      },
      { flags: '--cite <SOURCE>', help: 'what the text was printed in, kept as the source of the key' },
      { flags: '--id <ID>', help: 'the id of the key; without it, made from its heading' },
      { flags: '--title <TITLE>', help: 'the title of the key; without it, its heading' },
      {
        flags: '--language <TAG>',
        help: 'the language of the leads, such as en or de; else told by small words',
      },
      { flags: '--no-when', help: 'propose no characters and conditions from the words of the leads' },
      { flags: '--out <DIR>', help: 'write each key of the text to a file of its own there' },
      { flags: '--overwrite', help: 'let --out replace files that are there' },
      { flags: '--pick <N>', help: 'only the first, second, ... key of the text', least: 1 },
      { flags: '--as-one', help: 'join all keys of the text; their headings become the first couplet' },
    ],
    about: [
      "Layouts: numbered (1a 1b, 1 1', 1. 1.), first-numbered (only the first lead of a couplet has its number, the others a dash or nothing), serial (every lead has a number, that of its alternative follows in brackets), outline (letters, Roman numbers or signs; what belongs under a lead stands below it), indented (the indents alone tell).",
      'Nothing is dropped: a line that belongs to no couplet stays as a comment where it stood, and is reported with its line. A target that is not printed is never made up without saying so. Above each couplet stand its lines in the print and how sure it was read: clear, likely or doubtful.',
      'Where leads contrast plainly (colours, present or absent, sizes, numbers of parts), characters and conditions are proposed, each marked for review.',
      'Faults of the print, such as a lead that leads nowhere, are reported and kept; the exit code is then 1.',
    ],
    examples: [
      {
        line: 'keywright import sedges.txt --cite "A. Marl, Sedges of Tarn Hollow, 1908" > sedges.key.yaml',
        does: 'makes a key file of a printed key',
      },
      {
        line: 'keywright import flora.txt --out keys',
        does: 'writes every key of the text to a file of its own',
      },
    ],
    load: () => import('./import.js'),
  },
  {
    name: 'completion',
    purpose: 'shell',
    summary: 'Write a script with which your shell completes the commands.',
    arguments: [{ name: 'SHELL', help: 'bash, zsh or fish' }],
    options: [],
    about: [
      'The script is made from the commands of this very version; write it anew after an update. It completes commands, options, their values, files, and the ids of keys in ./keys and in the folders of --keys.',
    ],
    examples: [
      { line: 'source <(keywright completion bash)', does: 'completes in this shell from now on' },
      {
        line: 'keywright completion fish > ~/.config/fish/completions/keywright.fish',
        does: 'completes in every fish from now on',
      },
    ],
    load: () => import('./completion.js'),
  },
];
