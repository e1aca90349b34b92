import type { CommandEntry } from '../command.js';
import { KEYS_OPTION, OVERWRITE_OPTION } from '../shared-options.js';

/** What `page` takes and does, for its help and the check of its command line. */
export const PAGE: CommandEntry = {
  name: 'page',
  purpose: 'identify',
  summary: 'Make one page that asks a key on a phone, without a network.',
  arguments: [
    {
      name: 'KEY...',
      help: 'a key file, a bundle of keys, the id of a key (--keys says where that is looked for), or a folder of keys',
    },
  ],
  options: [
    {
      flags: '-o, --out <FILE>',
      help: 'the file to write; by default named after the id and version of the key. Of several keys, or a folder of them: the folder for their pages and for index.html, which names them',
    },
    OVERWRITE_OPTION,
    {
      flags: '--poison-centre <TEL>',
      help: 'the telephone number that the page shows',
    },
    {
      flags: '--pictures <KILOBYTES>',
      help: 'how much all pictures together may have; they are scaled down to it, and 0 leaves them out',
      standard: '2000',
    },
    KEYS_OPTION,
  ],
  about: [
    'The page is one file that holds the key, all that it continues in, its terms, and the same program that follows keys here. It opens from a file, from a mail or from a web server, and asks nothing of any network: its content security policy forbids that. What is entered stays on the device until the record is shared; run --resume, report, redo, identify and compare read that record.',
    'The number of the poison centre is that of KEYWRIGHT_POISON_CENTRE where none is given. No page is made while lint finds an error, while stand-ins of a new key are left, or while anything of an imported key that is doubtful or proposed is not reviewed.',
  ],
  examples: [
    {
      line: 'keywright page tarn-wood-tufts --out tufts.html',
      does: 'makes a page to take into the wood',
    },
    {
      line: 'keywright page keys --out site',
      does: 'makes a page of each key of a folder, and one that names them',
    },
  ],
  load: () => import('./command.js'),
};
