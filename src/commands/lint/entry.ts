import type { CommandEntry } from '../command.js';
import { KEYS_OPTION, OVERWRITE_OPTION } from '../shared-options.js';

/** What `lint` takes and does, for its help and the check of its command line. */
export const LINT: CommandEntry = {
  name: 'lint',
  purpose: 'check',
  summary: 'Check keys for every fault, with a find that shows it.',
  arguments: [
    {
      name: 'KEY...',
      help: 'key files, ids of keys, folders of keys, or bundles; - is a key on the standard input',
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
    { flags: '--fix', help: 'make the fixes that keep the meaning, and show what is left' },
    { flags: '--diff', help: 'show what --fix would change, and change nothing' },
    { flags: '--baseline <FILE>', help: 'a list of old findings that are accepted' },
    { flags: '--update-baseline', help: 'write all present findings to that list' },
    { flags: '-o, --out <FILE>', help: 'write the report there instead of to stdout' },
    OVERWRITE_OPTION,
    { flags: '--watch', help: 'check again whenever a file changes, until ^C' },
    { flags: '--stdin-name <NAME>', help: 'the file name under which the key on stdin is checked' },
    KEYS_OPTION,
  ],
  about: [
    'Each key is checked with the keys it continues in. Folders are searched for *.key.yaml; hidden ones and node_modules are skipped.',
    'A comment "# allow RULE: reason" on or above a line lets a finding stand there; above a couplet, a taxon or a character it holds for all of it. A file .keywright.yaml sets rules for its folder and those below: "rules: {leads-parallel: off}".',
    '--fix numbers couplets in reading order, corrects a misspelt target where only one is near, marks "not as above" as otherwise, and puts the lines of leads in order where that rule is on. --diff ends with exit code 1 when something would change.',
    'Findings go to stdout, the summary to stderr. Warnings and notes alone give exit code 0.',
  ],
  examples: [
    { line: 'keywright lint keys', does: 'checks every key of a folder, and what each continues in' },
    {
      line: 'keywright lint tarn-wood-tufts --by couplet',
      does: 'shows one key couplet by couplet, after counts by rule',
    },
    {
      line: 'keywright lint keys --format sarif --out lint.sarif',
      does: 'writes the findings for code hosting and editors',
    },
  ],
  load: () => import('./command.js'),
};
