import type { CommandEntry } from '../command.js';

/** What `new` takes and does, for its help and the check of its command line. */
export const NEW: CommandEntry = {
  name: 'new',
  purpose: 'write',
  summary: 'Begin a key: a sound file with comments to work from.',
  arguments: [
    {
      name: '[FILE]',
      help: 'the file to write, NAME.key.yaml; without it the title names it, in ./keys where that is there',
    },
  ],
  options: [
    { flags: '--title <TEXT>', help: 'the title; with it nothing is asked' },
    { flags: '--group <TEXT>', help: 'the organisms it is for' },
    { flags: '--region <CODE>', help: 'a region it is for, as GB-CMA', repeats: true },
    { flags: '--characters <LIST>', help: 'characters: "spore print: white, rust; ring: present, absent"' },
    { flags: '--lead <TEXT>', help: 'a lead of the first couplet; given twice', repeats: true },
    { flags: '--author <TEXT>', help: 'who writes it' },
    { flags: '--licence <NAME>', help: 'the terms on which others may pass it on, as CC-BY-4.0' },
  ],
  about: [
    'Without --title, a few questions are asked: title, group, regions, characters, two leads, licence. Through a pipe, each line is an answer; an empty line leaves one open.',
    'A file that is there is never replaced. What you leave open has a stand-in, marked as such, so that the key can be run from the first day. lint names the stand-ins that are left, and bundle and page refuse a key with one.',
  ],
  examples: [
    { line: 'keywright new', does: 'asks, and writes the file' },
    {
      line: 'keywright new beetles.key.yaml --title "Beetles of dead wood, Tarn Hollow" --region GB-CMA',
      does: 'writes the file without asking',
    },
  ],
  load: () => import('./command.js'),
};
