import type { CommandEntry } from '../command.js';
import { OVERWRITE_OPTION } from '../shared-options.js';

/** What `import` takes and does, for its help and the check of its command line. */
export const IMPORT: CommandEntry = {
  name: 'import',
  purpose: 'write',
  summary: 'Make key files from printed keys: plain text, articles, web pages, tables.',
  arguments: [
    {
      name: 'TEXT',
      help: 'the text of the printed key, or a folder of such texts; - is standard input; with --review also a key that import wrote',
    },
  ],
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
      help: 'the language of the leads, such as en or de; without it, recognised by common short words',
    },
    { flags: '--no-when', help: 'do not propose characters and conditions from the words of the leads' },
    { flags: '--out <DIR>', help: 'write each key of the text to its own file in this folder' },
    OVERWRITE_OPTION,
    { flags: '--pick <N>', help: 'only the first, second, ... key of the text', least: 1 },
    {
      flags: '--review',
      help: 'walk through what is doubtful, couplet by couplet; goes on where it was left off',
    },
    { flags: '--print <FILE>', help: 'with --review of a key: the text that it was imported from' },
    { flags: '--as-one', help: 'join all keys of the text; their headings become the first couplet' },
  ],
  about: [
    "Layouts: numbered (1a 1b, 1 1', 1. 1.), first-numbered (only the first lead of a couplet has its number, the others a dash or nothing), serial (every lead has a number, that of its alternative follows in brackets), outline (letters, Roman numerals or signs; what belongs under a lead is printed below it), indented (the indents alone show what belongs together).",
    'Nothing is dropped: a line that belongs to no couplet stays as a comment in its place, and is reported with its line. A target that is not printed is never made up without saying so. A comment above each couplet gives its lines in the print and how surely it was read: clear, likely or doubtful.',
    'Where leads contrast plainly (colours, present or absent, sizes, numbers of parts), characters and conditions are proposed, each marked for review.',
    'What a text is, it shows itself: an article in JATS or TaxPub (XML), HTML, Markdown, a table with tabs, semicolons or commas, or plain text. Where a key stands in a table with the columns label, lead and end, nothing is guessed. The head of an article becomes the authors, the source and the licence of the key; terms that forbid sharing are said.',
    'A folder needs --out: each text in it is read by itself, one that cannot be read stops no other, and a table says for each key how many couplets it has, how many leads have an end, how many couplets are doubtful and how many faults there are. The exit code is then 1 when some key needs review, and 2 when some text gave no key or a key could not be written.',
    '--review shows each couplet that was read with doubt, has proposed conditions, a lead without an end or a fault: the lines of the print on top, the reading below. Accept it, give a lead another end, condition or words, or skip it. Each change is saved at once, and nothing else in the file changes. What was accepted is marked "reviewed"; the same command, or one that names the key file, goes on with the rest. In a pipe the decisions are lines: accept, end LEAD END, condition LEAD CONDITION, words LEAD TEXT, skip, back, undo, quit. The exit code is 1 while anything is left.',
    'The print of a key is looked for by name beside the key and in the current folder; --print FILE names it. When it has changed since, that is said.',
    'Faults of the print, such as a lead that leads nowhere, are reported and kept; the exit code is then 1.',
  ],
  examples: [
    {
      line: 'keywright import sedges.txt --cite "A. Marl, Sedges of Tarn Hollow, 1908" > sedges.key.yaml',
      does: 'makes a key file from a printed key',
    },
    {
      line: 'keywright import flora.txt --out keys',
      does: 'writes each key of the text to its own file',
    },
    {
      line: 'keywright import articles --out keys',
      does: 'writes the keys of all texts in a folder, and a table of what came of them',
    },
    {
      line: 'keywright import sedges.txt --review --out keys',
      does: 'makes a key file, and walks through what is doubtful in it',
    },
    {
      line: 'keywright import keys/sedges.key.yaml --review --print sedges.txt',
      does: 'goes on with the review of a key that was imported before',
    },
  ],
  load: () => import('./command.js'),
};
