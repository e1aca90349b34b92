import { expect, test } from 'vitest';
import type { Item, Outline } from '../../src/commands/import/draft.js';
import { onLine } from '../../src/commands/import/lines.js';
import { link } from '../../src/commands/import/link.js';
import { importText } from '../../src/commands/import/print.js';
import type { SplitLead } from '../../src/commands/import/split-lead.js';

const item = (label: string, line: number): Item => ({
  pieces: [{ text: label, column: 0, marks: [], rawEnd: 0, line: onLine(line) }],
  label: undefined,
  mark: 0,
  markSystem: 'lower',
  indent: 0,
  line: onLine(line),
  lastLine: onLine(line),
  ended: true,
  ends: [],
  suspects: [],
  loose: [],
});

test('an end of which no name could be read is no end', () => {
  const items = [item('1a', 1), item('1b', 2)];
  const group = {
    name: '1',
    system: 'number',
    leads: items,
    under: undefined,
    back: [],
    again: false,
  } as const;
  const outline = {
    layout: 'numbered',
    groups: [{ ...group, leads: items }],
    items,
    after: [],
    oddities: [],
  };
  const nothing = { names: [], outside: false, inPart: false, remarks: [], form: 2 } as const;
  const { couplets } = link(
    outline as Outline,
    () => ({ words: 'Cap red', end: nothing }) as unknown as SplitLead,
  );
  expect(couplets[0]?.leads.map((l) => l.target.kind)).toEqual(['none', 'none']);
});

test('keys that are joined into one keep the couplet at which one goes on in the other', () => {
  const text = `KEY A. CAPS

1a. Cap red .... see the key “Key B”, couplet 2
1b. Cap brown .... Aa bb

KEY B. STEMS

1a. Stem hollow .... 2
1b. Stem full .... Aa cc
2a. Stem short .... Aa dd
2b. Stem long .... Aa ee
`;
  const [joined] = importText(text, { file: 'x.txt', asOne: true }).keys;
  const [, first = ''] = joined?.text.split('lead: Cap red') ?? [];
  expect(first.split('lead: Cap brown')[0]).toMatch(/ to: B2\n/);
  expect(joined?.text).not.toContain('taxon: []');
});
