import type { CommandEntry } from '../command.js';
import { KEY_ARGUMENT, KEYS_OPTION, OVERWRITE_OPTION } from '../shared-options.js';

/** What `bundle` takes and does, for its help and the check of its command line. */
export const BUNDLE: CommandEntry = {
  name: 'bundle',
  purpose: 'write',
  summary: 'Put a key and all that belongs to it into one file to share.',
  arguments: [KEY_ARGUMENT],
  options: [
    {
      flags: '-o, --out <FILE>',
      help: 'the file to write; by default named after the id and version of the key',
    },
    OVERWRITE_OPTION,
    { flags: '--without-licence', help: 'bundle keys that name no licence' },
    KEYS_OPTION,
  ],
  about: [
    'A bundle is a zip archive with the key, the keys it continues in, shared characters and terms, figures, licence texts, a list of authors, a README, and a manifest with a checksum of each. The same files always give the same bundle, byte for byte.',
    'Nothing is bundled while lint finds an error, while stand-ins of a new key are left, while anything of an imported key that is doubtful or proposed is not reviewed, or while a key names no licence. This holds for the keys it continues in as well. A bundle is not replaced by one of the same version with other content: raise the version. The texts of the common licences are included; those of others are taken from LICENSES/NAME.txt beside the key.',
    'run, identify, lint and the other commands that take a KEY open a bundle by its name, and refuse one in which anything was changed, added or left out. The checksums show damage and careless changes; they do not prove who made the bundle.',
  ],
  examples: [
    {
      line: 'keywright bundle tarn-wood-tufts --out tufts.keywright.zip',
      does: 'makes one file of two keys and the terms they share',
    },
    {
      line: 'keywright identify tufts.keywright.zip season.csv',
      does: 'identifies a table with the key of a bundle',
    },
  ],
  load: () => import('./command.js'),
};
