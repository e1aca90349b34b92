import type { CommandEntry } from '../command.js';
import { KEY_ARGUMENT, KEYS_OPTION } from '../shared-options.js';

/** What `run` takes and does, for its help and the check of its command line. */
export const RUN: CommandEntry = {
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
    {
      flags: '--record <FILE>',
      help: 'keep the determination there, written anew after every answer; to a record of the same find it is added',
    },
    { flags: '--resume <FILE>', help: 'go on with the determination kept there' },
    {
      flags: '--changed-key',
      help: 'with --resume: go on though the key has changed since, from the answers that still hold',
    },
    {
      flags: '--full',
      help: 'say everything of the result: how it fits, what one wrong look hides, why it may not be in this key',
    },
    { flags: '--by <NAME>', help: 'who makes the determination, for the record; else KEYWRIGHT_BY says it' },
    { flags: '--place <TEXT>', help: 'where the find was found, for the record' },
    { flags: '--date <DATE>', help: 'when it was found: 2026-10-18' },
    { flags: '--found-by <NAME>', help: 'who found it' },
    { flags: '--habitat <TEXT>', help: 'on what it grew or lived' },
    KEYS_OPTION,
  ],
  about: [
    'In a terminal, one key press is an answer: the letter of a lead, or ? when you cannot tell; H shows all keys. Couplets that follow from what is known answer themselves.',
    'Without a terminal, each line of the input is an answer: a letter, ?, back, note TEXT, doubt TEXT (why you are not sure of the answer that comes next), specimen NAME AGE (what the answers that come are read from; specimen alone: the whole find), find place: TEXT (or date:, by:, habitat:), terms, look, stop (show the result with all that is still possible) or leave. When they run out before the end, the exit code is 2.',
    'A record keeps the find, what was seen on which specimen and at what age, every answer with its time, note and doubt, the key with its version and a mark of its content, the result, who made it and when. What is in it already is never changed: a further determination is added below. FILE of --with may also be a record; then its evidence is taken.',
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
  load: () => import('./command.js'),
};
