import type { CommandEntry } from '../command.js';
import { OVERWRITE_OPTION } from '../shared-options.js';

/** What `import` takes and does, for its help and the check of its command line. */
export const IMPORT: CommandEntry = {
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
    OVERWRITE_OPTION,
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
  load: () => import('./command.js'),
};
