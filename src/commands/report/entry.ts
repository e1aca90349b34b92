import type { CommandEntry } from '../command.js';
import { OUT_OPTION, OVERWRITE_OPTION } from '../shared-options.js';

/** What `report` takes and does, for its help and the check of its command line. */
export const REPORT: CommandEntry = {
  name: 'report',
  purpose: 'identify',
  summary: 'Report a record for people: the find, the evidence and every determination.',
  arguments: [{ name: 'RECORD', help: 'a record that run --record has written, or an archive of finds' }],
  options: [
    {
      flags: '--format <FORMAT>',
      help: 'what is written',
      choices: ['text', 'markdown'],
      standard: 'text',
    },
    {
      flags: '--full',
      help: 'report everything that the record holds; without it, what the last determination came to, on one screen',
    },
    { flags: '--find <ID>', help: 'of an archive only the find of that id' },
    OUT_OPTION,
    OVERWRITE_OPTION,
  ],
  about: [
    'The report is made from the record alone; the key is not needed. With --full it holds where, when and by whom the find was collected, what was seen on which specimen and at what age, its photographs, every answer with its notes and doubts, the candidates with their paths, the verdict, the key with its version and the mark of its content, and what later determinations changed.',
    'Photographs are listed by the names that the record has. In Markdown those that lie in the folder of the record, or below it, are shown or linked; those in an archive are only named.',
    'KEYWRIGHT_POISON_CENTRE holds the telephone number that the cautions show.',
  ],
  examples: [
    {
      line: 'keywright report find.yaml --full --format markdown --out find.md',
      does: 'writes a page to keep with the specimen',
    },
  ],
  load: () => import('./command.js'),
};
