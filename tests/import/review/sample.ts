/** A print with what a review is for: a lead whose end is not printed, one that points nowhere, and proposals. */

import { type ReviewedKey, reviewReader } from '../../../src/commands/import/review/state.js';
import { emptyShelf, type Shelf } from '../../../src/key/load.js';

export const PRINT = `KEY TO THE CAPS

1a. Cap red ........ 2
1b. Cap white ...... 3
2a. Stem hollow, tall and set with scales
2b. Stem solid, short ..... Aria plena
3a. Ring present ... Aria alba
3b. Ring absent .... Aria cava
`;

/** A key as import writes it, changed by a hand in places that no review touches. */
export const KEY = `# Imported from caps.txt; the layout was read as "numbered".
# print: caps.txt, SHA-256 0123456789abcdef
keywright: 1
id: caps
title: Caps
version: 0.1.0
scope: {group: caps,   regions: [GB]} # a hand wrote this

characters:
  # review: all characters are proposed from the words of the leads
  ring:
    name: ring
    states: [present, absent]
  width: {name: width of the cap, kind: measure, unit: cm}

couplets:
  # lines 3-4: likely
  # review: lead 1a: its name stands among the words
  # I looked at this one in the book.
  1:
    - lead: Cap red
      to: 2
    - lead: Cap white
      # review: no target is printed here
      to: 3

  # lines 5-6: doubtful
  # review: lead 2a: no target is printed
  2:
    - lead: >-
        Stem hollow, tall and set with scales that fall off with age, so that old ones are as smooth as the
        others are
      # review: lead 2a has no target in the print: write to, taxon or key here
    - lead: Stem solid, short
      taxon: aria-plena

  # lines 7-8: clear
  3:
    # line 9: Plate VII
    - lead: Ring present
      # review: proposed from "Ring present"
      when: {ring: present}
      taxon: aria-alba # see the plate
    - {lead: Ring absent, when: {ring: absent}, taxon: aria-cava}

  # lines 10-11: clear
  4:
    - lead: Gills free
      to: 9
    - lead: Gills adnate
      taxon: aria-cava

taxa:
  aria-plena: {name: Aria plena, rank: species}
  aria-alba: {name: Aria alba, rank: species, common: [white aria]}
  aria-cava: {name: Aria cava, rank: species}
`;

/** Another key that leads may go on in. */
const OTHER = `keywright: 1
id: other-caps
title: Other caps
version: 0.1.0
couplets:
  4:
    - {lead: Gills free, taxon: aria-rubra}
    - {lead: Gills adnate, taxon: aria-rubra}
taxa:
  aria-rubra: {name: Aria rubra, rank: species}
`;

const shelf: Shelf = {
  ...emptyShelf,
  key: (reference, from) =>
    reference === 'other-caps'
      ? { ok: true, file: 'other.key.yaml', text: OTHER }
      : emptyShelf.key(reference, from),
};

export const read = reviewReader('caps.key.yaml', shelf);

/** The key of a text, which must be readable. */
export function reviewed(text = KEY): ReviewedKey {
  const result = read(text);
  if (!result.ok) throw new Error(result.findings.map((f) => f.message).join('\n'));
  return result.reviewed;
}
