import type { CommandEntry } from '../command.js';
import {
  CORRESPONDENCES_OPTION,
  KEY_ARGUMENT,
  KEYS_OPTION,
  STRICT_COLUMNS_OPTION,
} from '../shared-options.js';

/** What `run` takes and does, for its help and the check of its command line. */
export const RUN: CommandEntry = {
  name: 'run',
  purpose: 'identify',
  summary: 'Key out one find, couplet by couplet.',
  arguments: [KEY_ARGUMENT],
  options: [
    {
      flags: '--with <FILE>',
      help: 'start from what is known: a table of collections with one find in it, a record, also one made with another key, or an archive of finds',
    },
    CORRESPONDENCES_OPTION,
    {
      flags: '--id <TEXT>',
      help: 'the find to take from the table or archive; without one, a name for the find',
    },
    {
      flags: '--record <FILE>',
      help: 'keep the determination there, written anew after every answer; to a record of the same find it is added',
    },
    {
      flags: '--resume <FILE>',
      help: 'go on with the determination kept there; of an archive of finds with that of --id, in the record of --record',
    },
    {
      flags: '--changed-key',
      help: 'with --resume: go on though the key has changed since, from the answers that still hold',
    },
    {
      flags: '--full',
      help: 'say everything of the result: how it fits, what one wrong look hides, why it may not be in this key',
    },
    { flags: '--by <NAME>', help: 'who makes the determination, for the record; else KEYWRIGHT_BY says it' },
    {
      flags: '--photograph <FILE>',
      help: 'the name of a photograph of the find, for the record',
      repeats: true,
    },
    STRICT_COLUMNS_OPTION,
    { flags: '--place <TEXT>', help: 'where the find was found, for the record' },
    { flags: '--date <DATE>', help: 'when it was found: 2026-10-18' },
    { flags: '--found-by <NAME>', help: 'who found it' },
    { flags: '--habitat <TEXT>', help: 'on what it grew or lived' },
    KEYS_OPTION,
  ],
  about: [
    'In a terminal, one key press is an answer: the letter of a lead, or ? when you cannot tell; H shows all keys. Couplets that follow from what is known answer themselves.',
    'Without a terminal, each line of the input is an answer: a letter, ?, back, note TEXT, doubt TEXT (why you are not sure of the answer that comes next), specimen NAME AGE (what the answers that come are read from; specimen alone: the whole find), find place: TEXT (or date:, by:, habitat:), terms, look, stop (show the result with all that is still possible) or leave. When they run out before the end, the exit code is 2.',
    'A record keeps the find, what was seen on which specimen and at what age, every answer with its time, note and doubt, the key with its version and a mark of its content, the result, who made it and when. What is in it already is never changed: a further determination is added below. FILE of --with may also be a record: what was seen counts, and what its answers say of single characters counts for any key that has these characters with states of the same meaning. So a find may go through a general key and then through a regional one, and nothing is asked twice. What this key cannot use is said. Answers that were given with this very key are to be given anew; --resume goes on from them.',
    'With --correspondences, the table or record of --with is in the terms of the other key that the file names. What is confirmed there is evidence in this key; the rest is said and stays unknown. The other key is looked for by its id, also beside the file.',
    'The couplets go to stderr, the result to stdout. KEYWRIGHT_POISON_CENTRE holds the telephone number that the cautions show.',
  ],
  examples: [
    {
      line: 'keywright run tarn-wood-tufts --record find.yaml',
      does: 'keys out a find with the key of that id and keeps the determination',
    },
    {
      line: 'keywright run tarn-wood-tufts --with genus.yaml --record find.yaml',
      does: 'goes on from what was keyed with another key',
    },
    {
      line: "printf 'b\\nc\\na\\na\\n' | keywright run tarn-wood-tufts",
      does: 'answers the couplets from a pipe',
    },
  ],
  load: () => import('./command.js'),
};
