/** A key that continues in another, its couplets out of order, with comments and a layout of its own. */
export const PEBBLES = `# Pebbles of an invented beach.
keywright: 1
id: pebbles
title: Pebbles
version: 1.0.0
start: 3

couplets:
  # the second one in reading order
  7:
    - lead: Round   # as an egg
      taxon: a
    - {lead: Flat, taxon: b}

  # where it begins
  3:
    - lead: Bright
      to: 7
    - lead: Dull
      key: other
taxa:
  a: {name: Lapis ovalis, rank: species}
  b: {name: Lapis planus, rank: species}
`;
export const OTHER = `keywright: 1
id: other
title: Other pebbles
version: 1.0.0
couplets:
  1: [{lead: Grey, taxon: c}, {lead: Brown, taxon: c}]
taxa:
  c: {name: Lapis griseus, rank: species}
`;
