import type { CommandEntry } from '../command.js';
import { KEYS_OPTION, OUT_OPTION, OVERWRITE_OPTION } from '../shared-options.js';

/** What `correspond` takes and does, for its help and the check of its command line. */
export const CORRESPOND: CommandEntry = {
  name: 'correspond',
  purpose: 'write',
  summary: 'Propose which characters, states and taxa of one key are which of another.',
  arguments: [
    { name: 'KEY', help: 'a key file, a bundle, or the id of a key' },
    { name: 'KEY2', help: 'the other key' },
  ],
  options: [OUT_OPTION, OVERWRITE_OPTION, KEYS_OPTION],
  about: [
    'The result is a YAML file, NAME.correspondences.yaml. Entries are proposed from equal ids and words (capitals, hyphens, singular and plural do not count), units, glossaries, common names, and the genus in a name; each says why. What nothing was found for stands in comments, to be filled in.',
    'A proposal carries nothing until a person writes "confirmed: yes". Then "run --with", "compare" and "diff" take the file with --correspondences.',
    'With --out FILE --overwrite and a FILE that is there, all that was confirmed or written in it stays, and what the keys have since is added.',
  ],
  examples: [
    {
      line: 'keywright correspond gill-genera tarn-wood-tufts --out genera-to-tufts.correspondences.yaml',
      does: 'writes down what of the one key may be what of the other',
    },
  ],
  load: () => import('./command.js'),
};
