/** Keys that stand in tables, lists and paragraphs of HTML, Markdown and delimited text, in our own wording. */
import { describe, expect, it } from 'vitest';
import { importDocument } from '../../src/commands/import/document.js';
import { shownDocument } from './structure.js';

/** The key that all of these hold. */
const KEY = `1a Body flat, thin -> 2
1b Body round -> Perforella nana
2a Legs banded -> Perforella fasciata
2b Legs plain -> Perforella alba
`;

const MARKDOWN: Record<string, string> = {
  'a table with an empty head': `
# Key to the mites of the hollow

|   |   |   |
|---|---|---|
| 1 | Body flat, thin | 2 |
| – | Body round | *Perforella nana* |
| 2 | Legs banded | *Perforella fasciata* |
| – | Legs plain | *Perforella alba* |
`,
  'a table whose head is the first lead': `
| 1a | Body flat, thin | 2 |
|---|---|---|
| 1b | Body round | *Perforella nana* |
| 2a | Legs banded | *Perforella fasciata* |
| 2b | Legs plain | *Perforella alba* |
`,
  'a table with a head and one cell for words and end': `
No | Lead
---|---
1 | Body flat, thin ... 2
1' | Body round ... *Perforella nana*
2 | Legs banded ... *Perforella fasciata*
2' | Legs plain ... *Perforella alba*
`,
  'a list': `
# Key to the mites of the hollow

- 1a. Body flat, thin → 2
- 1b. Body round → *Perforella nana*
- 2a. Legs banded → *Perforella fasciata*
- 2b. Legs plain → *Perforella alba*
`,
  'paragraphs with labels in bold': `
**1a.** Body flat, thin → 2

**1b.** Body round → *Perforella nana*

**2a.** Legs banded → *Perforella fasciata*

**2b.** Legs plain → *Perforella alba*
`,
};

const HTML: Record<string, string> = {
  'a table with cells over two rows and a column for each kind of end': `
<!doctype html><html><body><h1>Mites</h1><table>
<tr><th>No</th><th>Character</th><th>Go to</th><th>Taxon</th></tr>
<tr><td rowspan=2>1</td><td>Body flat, thin</td><td>2</td><td></td></tr>
<tr><td>Body round</td><td></td><td><i>Perforella nana</i></td></tr>
<tr><td rowspan=2>2</td><td>Legs banded</td><td></td><td><i>Perforella fasciata</i></td></tr>
<tr><td>Legs plain</td><td></td><td><i>Perforella alba</i></td></tr>
</table></body></html>`,
  'a table with number and letter apart': `
<table><tr><td>1<td>a<td>Body flat, thin<td>2
<tr><td><td>b<td>Body round<td><em>Perforella nana</em>
<tr><td>2<td>a<td>Legs banded<td><em>Perforella fasciata</em>
<tr><td><td>b<td>Legs plain<td><em>Perforella alba</em></table>`,
  'paragraphs with links': `
<h2>Key to mites</h2>
<p><b>1a.</b> Body flat, thin <a href="#2">2</a></p>
<p><b>1b.</b> Body round <a href="#nana"><i>Perforella nana</i></a></p>
<p><b>2a.</b> Legs banded <a href="#f"><i>Perforella fasciata</i></a></p>
<p><b>2b.</b> Legs plain <a href="#a"><i>Perforella alba</i></a></p>`,
  'lines set as they are': `
<html><body><pre>
1a. Body flat, thin ........ 2
1b. Body round ............. Perforella nana
2a. Legs banded ............ Perforella fasciata
2b. Legs plain ............. Perforella alba
</pre></body></html>`,
  'a list on one line of the file': `<h2>Key to mites</h2><ul><li>1a. Body flat, thin &rarr; 2</li><li>1b. Body round &rarr; <i>Perforella nana</i></li><li>2a. Legs banded &rarr; <i>Perforella fasciata</i></li><li>2b. Legs plain &rarr; <i>Perforella alba</i></li></ul>`,
  'lists in lists': `
<html><head><script>document.write('1a. Cheat ... Perforella falsa')</script></head><body><h2>Key to mites</h2>
<ol><li>Body flat, thin<ol><li>Legs banded ..... <i>Perforella fasciata</i></li>
<li>Legs plain ..... <i>Perforella alba</i></li></ol></li>
<li>Body round ..... <i>Perforella nana</i></li></ol></body></html>`,
};

const DELIMITED: Record<string, string> = {
  'tabs, with a head':
    'couplet\tlead\tend\n1a\tBody flat, thin\t2\n1b\tBody round\tPerforella nana\n2a\tLegs banded\tPerforella fasciata\n2b\tLegs plain\tPerforella alba\n',
  'commas, and a column for each kind of end':
    'n,lead,to,taxon\n1,"Body flat, thin",2,\n1,Body round,,Perforella nana\n2,Legs banded,,Perforella fasciata\n2,Legs plain,,Perforella alba\n',
  'semicolons, without a head':
    '1;Body flat, thin;2\n-;Body round;Perforella nana\n2;Legs banded;Perforella fasciata\n-;Legs plain;Perforella alba\n',
};

for (const [kind, texts] of Object.entries({ MARKDOWN, HTML, DELIMITED }))
  describe(kind, () => {
    it.each(Object.entries(texts))('%s', async (_, text) => {
      const shown = await shownDocument(text, { when: false });
      const leads = shown.split('\n').filter((l) => /^\d[a-z] /.test(l));
      expect(`${leads.map((l) => l.replace(/ <species>$/, '')).join('\n')}\n`).toBe(KEY);
      expect(shown).not.toContain('error:');
      expect(shown).toContain('sure: clear: clear\n');
    });
  });

describe('what is no key', () => {
  it.each([
    [
      'a table of sizes',
      '| Species | Length | Sites |\n|---|---|---|\n| Perforella nana | 4 | 12 |\n| Perforella alba | 5 | 3 |\n',
    ],
    [
      'a list of species',
      'no,name,place\n1,Perforella nana,Hollow\n2,Perforella alba,Tarn\n3,Perforella fasciata,Fell\n',
    ],
    ['a page without a key', '<html><body><p>Nothing to see here.</p></body></html>'],
  ])('%s makes none', async (_, text) => {
    expect((await importDocument(text, { file: 'x' })).keys).toEqual([]);
  });

  it('a print with commas in its leads is read as a print', async () => {
    const text =
      '1. Body flat, thin, pale ... 2\n1. Body round, thick, dark ... Perforella nana\n2. Legs banded, long, red ... Perforella fasciata\n2. Legs plain, short, grey ... Perforella alba\n';
    const { keys } = await importDocument(text, { file: 'x' });
    expect(keys[0]?.layout).toBe('numbered');
    expect(keys[0]?.leads).toBe(4);
  });
});

describe('an end that is no end', () => {
  it('is left open and kept as a comment', async () => {
    const text =
      '1\tBody flat\t2\n-\tBody round\tPerforella nana\n2\tLegs banded\ttreated elsewhere in this book\n-\tLegs plain\tPerforella alba\n';
    const { keys, findings } = await importDocument(text, { file: 'x', when: false });
    expect(keys[0]?.text).toContain('# line 3: treated elsewhere in this book');
    expect(keys[0]?.text).not.toContain('name: treated');
    expect([keys[0]?.ends, keys[0]?.doubtful]).toEqual([3, 1]);
    expect(
      findings.some((f) => f.level === 'error' && f.message.includes('neither a couplet nor a name')),
    ).toBe(true);
  });
});

describe('places', () => {
  it('are those of the file', async () => {
    const text =
      '<html><body>\n<p>Notes on mites.</p>\n\n<p>1a. Body flat .... 2</p>\n<p>1b. Body round .... <i>Perforella nana</i></p>\n<p>2a. Legs\nbanded .... 7</p>\n<p>2b. Legs plain .... <i>Perforella alba</i></p>\n</body></html>\n';
    const { findings } = await importDocument(text, { file: 'x.html' });
    expect(findings.filter((f) => f.level === 'error').map((f) => [f.place.start.line, f.message])).toEqual([
      [6, 'lead 2a: goes to couplet 7, which is not in this key'],
    ]);
  });
});
