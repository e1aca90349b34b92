import type { CommandEntry } from '../command.js';
import { KEYS_OPTION } from '../shared-options.js';

/** What `redo` takes and does, for its help and the check of its command line. */
export const REDO: CommandEntry = {
  name: 'redo',
  purpose: 'identify',
  summary: 'Run old records through a newer version of their key.',
  arguments: [{ name: 'RECORD...', help: 'records that run --record has written, or archives of finds' }],
  options: [
    { flags: '--key <KEY>', help: 'the key in its newer version: a file, or an id' },
    {
      flags: '--format <FORMAT>',
      help: 'how the differences are written',
      choices: ['text', 'ndjson', 'csv'],
      standard: 'text',
    },
    {
      flags: '--write',
      help: 'add what came of it to each record as a further determination; what is there is never changed, and nothing is added to an archive',
    },
    { flags: '--by <NAME>', help: 'with --write: who answers for it; else KEYWRIGHT_BY says it' },
    { flags: '--other-keys', help: 'take records of other keys too, as far as the couplets say the same' },
    KEYS_OPTION,
  ],
  about: [
    'An answer is known again by what its couplet says, never by the number alone. Where the couplet says the same, it holds, whatever the number is now. Where only the lead that was taken says the same, under a condition, it counts for what it says of the find. Else it counts as "cannot tell", and is listed. Of each record stand the result before and now, what is no longer or newly possible, the first couplet where the way parts, and the couplets that are to be answered now.',
    'Exit code 0: no result is another. 1: some results are. 2: some records could not be redone; the others stand there all the same.',
  ],
  examples: [
    {
      line: 'keywright redo records/*.yaml --key tarn-wood-tufts',
      does: 'lists what the present version of the key makes of old records',
    },
    {
      line: 'keywright redo find.yaml --key tarn-wood-tufts --write --by "E. Marlow"',
      does: 'adds the new determination to the record',
    },
  ],
  load: () => import('./command.js'),
};
