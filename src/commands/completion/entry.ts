import type { CommandEntry } from '../command.js';

/** What `completion` takes and does, for its help and the check of its command line. */
export const COMPLETION: CommandEntry = {
  name: 'completion',
  purpose: 'shell',
  summary: 'Write a script with which your shell completes the commands.',
  arguments: [{ name: 'SHELL', help: 'bash, zsh or fish' }],
  options: [],
  about: [
    'The script asks the program what fits: commands, options, their values, files, and the ids of keys wherever they are looked for. It need not be written again after an update.',
  ],
  examples: [
    { line: 'source <(keywright completion bash)', does: 'completes in this shell from now on' },
    {
      line: 'keywright completion fish > ~/.config/fish/completions/keywright.fish',
      does: 'completes in every fish from now on',
    },
  ],
  load: () => import('./command.js'),
};
