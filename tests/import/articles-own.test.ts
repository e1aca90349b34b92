/** Articles of our own wording, with what rows of keys look like in journals. */
import { describe, expect, it } from 'vitest';
import { importDocument } from '../../src/commands/import/document.js';
import { shownDocument } from './structure.js';

/** An article with a key: `head` goes into its meta data, a row is cells parted by `|`. */
function article(
  rows: readonly string[],
  more: { head?: string; title?: string; wrap?: string } = {},
): string {
  const trs = rows.map(
    (row) =>
      `<tr>${row
        .split('|')
        .map((c) => `<td>${c.trim()}</td>`)
        .join('')}</tr>`,
  );
  return `<?xml version="1.0"?>
<!DOCTYPE article PUBLIC "-//Own//DTD Own v1//EN" "own.dtd">
<article xmlns:xlink="http://www.w3.org/1999/xlink" xmlns:tp="http://www.plazi.org/taxpub" xml:lang="en">
<front><journal-meta><journal-title-group><journal-title>Tarn Hollow Notes</journal-title></journal-title-group></journal-meta>
<article-meta>
<article-id pub-id-type="doi">10.1234/hollow.7</article-id>
<title-group><article-title>The mites of <italic>Perforella</italic></article-title></title-group>
<contrib-group>
<contrib contrib-type="author"><name><surname>Marl</surname><given-names>Ada</given-names></name><xref ref-type="aff" rid="A1">1</xref></contrib>
<contrib contrib-type="editor"><name><surname>Nobody</surname><given-names>N.</given-names></name></contrib>
<contrib contrib-type="author"><name><surname>Pond</surname><given-names>Jan-Ole</given-names></name></contrib>
</contrib-group>
<pub-date pub-type="collection"><year>2019</year></pub-date><pub-date pub-type="epub"><year>2020</year></pub-date>
<volume>4</volume><issue>2</issue><fpage>11</fpage><lpage>19</lpage>
${more.head ?? '<permissions><license xlink:href="https://creativecommons.org/licenses/by/4.0/"><license-p>Free to use.</license-p></license></permissions>'}
</article-meta></front>
<body><sec><title>${more.title ?? 'Key to the species of <italic><tp:taxon-name>Perforella</tp:taxon-name></italic>'}</title>
<p>Text before.</p>
<table-wrap ${more.wrap ?? 'content-type="key"'}><table><tbody>
${trs.join('\n')}
</tbody></table></table-wrap></sec></body></article>
`;
}

const name = (text: string) => `<italic><tp:taxon-name>${text}</tp:taxon-name></italic>`;
const show = (xml: string) => shownDocument(xml, { when: false });

describe('the head of an article', () => {
  it('is the source of the key', async () => {
    const { keys } = await importDocument(
      article(['1|Legs long|' + name('Perforella nana'), '–|Legs short|' + name('P. alba')]),
      {
        file: 'a.xml',
        when: false,
      },
    );
    expect(keys[0]?.text).toContain('licence: CC-BY-4.0');
    expect(keys[0]?.text).toContain('authors: [Ada Marl, Jan-Ole Pond]');
    expect(keys[0]?.text.replace(/\s+/g, ' ')).toContain(
      'Marl A, Pond J-O (2020) The mites of Perforella. Tarn Hollow Notes 4(2): 11–19',
    );
    expect(keys[0]?.text).toContain('url: https://doi.org/10.1234/hollow.7');
    expect(keys[0]?.title).toBe('Key to the species of Perforella');
  });

  it.each([
    [
      '<permissions><license xlink:href="http://creativecommons.org/licenses/by-nc-nd/4.0/"/></permissions>',
      'CC-BY-NC-ND-4.0',
      'does not let everybody share',
    ],
    [
      '<permissions><license><license-p>Creative Commons Attribution-NonCommercial 3.0 License</license-p></license></permissions>',
      'CC-BY-NC-3.0',
      'does not let everybody share',
    ],
    [
      '<permissions><copyright-statement>All ours</copyright-statement></permissions>',
      undefined,
      'states no licence',
    ],
    [
      '<permissions><license><license-p>Reading is allowed.</license-p></license></permissions>',
      undefined,
      'no licence that is known',
    ],
  ])('says that sharing is not allowed: %s', async (head, licence, said) => {
    const { keys, findings } = await importDocument(article(['1|Legs long|A', '–|Legs short|B'], { head }), {
      file: 'a.xml',
    });
    expect(/^licence: (.*)$/m.exec(keys[0]?.text ?? '')?.[1]).toBe(licence);
    expect(
      findings
        .filter((f) => f.rule === 'licence-shares')
        .map((f) => f.message)
        .join(),
    ).toContain(said);
  });

  it.each(['by', 'by-sa'])('says nothing where sharing is allowed: %s', async (kind) => {
    const head = `<permissions><license xlink:href="https://creativecommons.org/licenses/${kind}/4.0/"/></permissions>`;
    const { findings } = await importDocument(article(['1|Legs long|A', '–|Legs short|B'], { head }), {
      file: 'a.xml',
    });
    expect(findings.filter((f) => f.rule === 'licence-shares')).toEqual([]);
  });
});

describe('rows', () => {
  it('with dashes, back-references, new species and groups in brackets', async () => {
    expect(
      await show(
        article([
          `1|Body flat (<xref ref-type="fig" rid="F1">Fig. 1</xref>)|2`,
          `–|Body round|${name('Perforella nana')} Marl &amp; Pond, sp. n.`,
          `2(1)|Legs banded|${name('Perforella fasciata')} (Marl, 1901) [${name('Perforellidae')}]`,
          `–|Legs plain|${name('Perforella alba')} Pond, 1999 (= ${name('P. pallida')} of Marl 1901)`,
        ]),
      ),
    ).toMatchInlineSnapshot(`
      "= species-of-perforella | Key to the species of Perforella | table
      1a Body flat (Fig. 1) -> 2
      1b Body round -> Perforella nana <Marl & Pond, species> [sp. n.]
      2a Legs banded -> Perforella fasciata <(Marl, 1901), species, in perforellidae>
      2b Legs plain -> Perforella alba <Pond, 1999, species> [= P. pallida of Marl 1901]
      sure: clear: clear
      "
    `);
  });

  it('with primes, stops, letters, other targets and a fourth cell', async () => {
    expect(
      await show(
        article([
          `1.|Body flat||2 (Males)`,
          `1´|Body round||3`,
          `2.|Legs banded|Fig. 4|${name('Perforella fasciata')} (Fig. 9)`,
          `2´|Legs plain||${name('Perforella')} (<italic>sensu stricto</italic>) <italic>alba</italic> Pond`,
          `3a|Claws red|${name('Perforella')}|4`,
          `3b|Claws blue||${name('Perforella parenthes')}is Marl`,
          `4a|Claws toothed||${name('Perforella alba')}, ${name('P. nana')}`,
          `4b|Claws plain||${name('Perforella nana minor')} Marl`,
        ]),
      ),
    ).toMatchInlineSnapshot(`
      "= species-of-perforella | Key to the species of Perforella | table
      1a Body flat -> 2 [Males]
      1b Body round -> 3
      2a Legs banded -> Perforella fasciata <species> [Fig. 9; Fig. 4]
      2b Legs plain -> Perforella (sensu stricto) alba <Pond, species>
      3a Claws red -> 4 (reaches perforella)
      3b Claws blue -> Perforella parenthesis <Marl, species>
      4a Claws toothed -> Perforella alba <species> + P. nana <species>
      4b Claws plain -> Perforella nana minor <Marl, subspecies>
      sure: clear: clear: clear: clear
      "
    `);
  });

  it('with the number repeated, missing, or wrong', async () => {
    expect(
      await show(
        article([
          `1|Body flat|2`,
          `1|Body round|3`,
          `2|Legs banded|${name('Perforella fasciata')}`,
          `|Legs plain|${name('Perforella alba')}`,
          `3a|Claws red|${name('Perforella rubra')}`,
          `2b|Claws blue|${name('Perforella caerulea')}`,
        ]),
      ),
    ).toMatchInlineSnapshot(`
      "= species-of-perforella | Key to the species of Perforella | table
      1a Body flat -> 2
      1b Body round -> 3
      2a Legs banded -> Perforella fasciata <species>
      2b Legs plain -> Perforella alba <species>
      3a Claws red -> Perforella rubra <species>
      3b Claws blue -> Perforella caerulea <species>
      line 25, warning: lead 3b: labelled 2b, but it stands as lead 2 of couplet 3, which has no other; read as that [label-follows]
      sure: clear: clear: doubtful
      "
    `);
  });

  it('of two cells, with the end behind the words', async () => {
    expect(
      await show(
        article([
          `1|Body flat ... 2`,
          `–|Body round ... ${name('Perforella nana')} Marl`,
          `2|Legs banded. ${name('Perforella fasciata')} Marl`,
          `–|Legs plain → ${name('Perforella alba')}`,
        ]),
      ),
    ).toMatchInlineSnapshot(`
      "= species-of-perforella | Key to the species of Perforella | table
      1a Body flat -> 2
      1b Body round -> Perforella nana <Marl, species>
      2a Legs banded. -> Perforella fasciata <Marl, species>
      2b Legs plain -> Perforella alba <species>
      line 22, warning: lead 2a: no cell holds its end; the name at the end of its words is taken for it: Perforella fasciata [target-clear]
      sure: clear: doubtful
      "
    `);
  });

  it('that say what cannot be right: nothing is guessed', async () => {
    expect(
      await show(
        article([
          `Females||`,
          `1|Body flat|2`,
          `–|Body round|`,
          `2|Legs banded|see the text, which will say more about these at some length and in many words, or not at all`,
          `–|Legs plain|9`,
          `Males||`,
        ]),
      ),
    ).toMatchInlineSnapshot(`
      "= species-of-perforella | Key to the species of Perforella | table
      1a Body flat -> 2
      1b Body round -> NOTHING
      2a Legs banded -> NOTHING
      2b Legs plain -> 9
      not sound: Lead b of couplet 1 leads nowhere; it needs one of "to" (a couplet), "taxon" or "key"
      not sound: Lead a of couplet 2 leads nowhere; it needs one of "to" (a couplet), "taxon" or "key"
      not sound: lead 2b goes to couplet "9", which is not in this key; did you mean 1?
      line 22, error: lead 1b: no target is printed, and none follows from the layout [lead-ends]
      line 23, warning: belongs to no couplet and is kept as a comment: "see the text, which will say more about these at some lengt…" [line-placed]
      line 23, error: lead 2a: no target is printed, and none follows from the layout [lead-ends]
      line 23, error: lead 2a: the end "see the text, which will say more about these at some lengt…" is neither a couplet nor a name; it is kept as a comment [lead-ends]
      line 24, error: lead 2b: goes to couplet 9, which is not in this key [target-exists]
      line 25, warning: belongs to no couplet and is kept as a comment: "Males" [line-placed]
      sure: doubtful: doubtful
      "
    `);
  });

  it('of two keys in one table', async () => {
    expect(
      await show(
        article([
          `Males||`,
          `1|Body flat|${name('Perforella nana')}`,
          `–|Body round|${name('Perforella alba')}`,
          `Females||`,
          `1|Horn long|${name('Perforella nana')}`,
          `–|Horn short|${name('Perforella alba')}`,
        ]),
      ),
    ).toMatchInlineSnapshot(`
      "= species-of-perforella-males | Key to the species of Perforella: Males | table
      1a Body flat -> Perforella nana <species>
      1b Body round -> Perforella alba <species>
      = species-of-perforella-females | Key to the species of Perforella: Females | table
      1a Horn long -> Perforella nana <species>
      1b Horn short -> Perforella alba <species>
      sure: clear: clear
      "
    `);
  });

  it('that stand below the lead that they belong to', async () => {
    expect(
      await show(
        article([
          `1|Body flat|`,
          `2|Legs banded|${name('Perforella fasciata')}`,
          `2|Legs plain|${name('Perforella alba')}`,
          `1|Body round|`,
          `3|Claws red|${name('Perforella rubra')}`,
          `3|Claws blue|${name('Perforella caerulea')}`,
        ]),
      ),
    ).toMatchInlineSnapshot(`
      "= species-of-perforella | Key to the species of Perforella | table
      1a Body flat -> 2
      1b Body round -> 3
      2a Legs banded -> Perforella fasciata <species>
      2b Legs plain -> Perforella alba <species>
      3a Claws red -> Perforella rubra <species>
      3b Claws blue -> Perforella caerulea <species>
      sure: clear: clear: clear
      "
    `);
  });

  it('with the other lead in brackets', async () => {
    expect(
      await show(
        article([
          `1 (4)|Body flat|`,
          `2 (3)|Legs banded|${name('Perforella fasciata')}`,
          `3 (2)|Legs plain|${name('Perforella alba')}`,
          `4 (1)|Body round|${name('Perforella rubra')}`,
        ]),
      ),
    ).toMatchInlineSnapshot(`
      "= species-of-perforella | Key to the species of Perforella | table
      1a Body flat -> 2
      1b Body round -> Perforella rubra <species>
      2a Legs banded -> Perforella fasciata <species>
      2b Legs plain -> Perforella alba <species>
      sure: clear: clear
      "
    `);
  });

  it('with ends that say more or less than a name', async () => {
    expect(
      await show(
        article([
          `1(a)|Body flat|${name('Perforella')} 2`,
          `1(b)|Body round .....|${name('Perforella')} sp. A`,
          `2(a)|Legs banded|${name('Perforella cf. fasciata')}`,
          `2(b)|Legs plain|3`,
          `3|Claws red|${name('Perforella alba')} species-group`,
          `–|Claws blue|Genus ${name('Perforella')} Marl, 1901 (part.)`,
          `–|Claws grey|Perforella sp. 2`,
          `–|Claws green|${name('Perforella alba')} gen. et sp. nov., comb. n.`,
        ]),
      ),
    ).toMatchInlineSnapshot(`
      "= species-of-perforella | Key to the species of Perforella | table
      1a Body flat -> 2 (reaches perforella)
      1b Body round -> Perforella sp. A <species>
      2a Legs banded -> Perforella fasciata <species> [cf.]
      2b Legs plain -> 3
      3a Claws red -> Perforella alba group <aggregate> [species-group]
      3b Claws blue -> Perforella <Marl, 1901, genus> [part.]
      3c Claws grey -> Perforella sp. 2 <species>
      3d Claws green -> Perforella alba <species> [gen. et sp. nov.; comb. n.]
      line 20, warning: lead 1a: the number 2 behind the words of its end is taken for couplet 2; it may be a page [target-clear]
      sure: doubtful: clear: clear
      "
    `);
  });

  it('with names in parts, the genus shortened', async () => {
    const short =
      '<tp:taxon-name><object-id>urn:1</object-id><tp:taxon-name-part taxon-name-part-type="genus" reg="Perforella">P.</tp:taxon-name-part><tp:taxon-name-part taxon-name-part-type="species">nana</tp:taxon-name-part></tp:taxon-name>';
    expect(
      await show(article([`1|Body flat|${short} Marl`, `–|Body round|${name('Perforella alba')}`])),
    ).toMatchInlineSnapshot(`
      "= species-of-perforella | Key to the species of Perforella | table
      1a Body flat -> Perforella nana <Marl, species>
      1b Body round -> Perforella alba <species>
      sure: clear
      "
    `);
  });

  it('of a table that is no key are left alone', async () => {
    const { keys } = await importDocument(
      article(['Species|Length|Sites', 'Perforella nana|4|12', 'Perforella alba|5|3'], { wrap: '' }),
      { file: 'a.xml' },
    );
    expect(keys).toEqual([]);
  });
});

describe('a broken or hostile article', () => {
  it('is read as far as it goes', async () => {
    const xml = article([`1|Body flat|A b`, `–|Body round|C d`]).replace(
      '</sec></body></article>',
      '<p>&nothing;<b></sec>',
    );
    const { keys, findings } = await importDocument(xml, { file: 'a.xml' });
    expect(keys.length).toBe(1);
    expect(findings.filter((f) => f.rule === 'xml-syntax').length).toBe(2);
  });

  it('reads no entity, nests no deeper than an article and says so', async () => {
    const deep = `<article>${'<sec>'.repeat(200)}`;
    const { keys, findings } = await importDocument(deep, { file: 'a.xml' });
    expect(keys).toEqual([]);
    expect(findings[0]?.message).toContain('nested more than 120 deep');
  });
});

describe('keys of an article that stand in no table', () => {
  const within = (body: string, second = '') =>
    article([]).replace(
      /<body>[\s\S]*<\/body>/,
      `<body><sec><title>Introduction</title><p>Hoppers live in fens. There are few of them.</p></sec>
<sec><title>Key to the fen hoppers</title>${body}</sec>${second}</body>`,
    );
  const rows = [
    ['1', 'Shell with a keel (<xref ref-type="fig" rid="F1">Fig. 1</xref>)', '2'],
    ['–', 'Shell without a keel', '3'],
    ['2', 'Legs yellow', '<italic>Tarnia palustris</italic> Marl, 1901'],
    ['–', 'Legs black', '<italic>Tarnia hollovensis</italic> sp. n.'],
    ['3', 'Face flat', '<italic>Veltia montana</italic>'],
    ['–', 'Face swollen', '<italic>Veltia tenuis</italic>'],
  ] as const;
  const all = (one: (label: string, words: string, end: string) => string) =>
    rows.map(([label, words, end]) => one(label, words, end)).join('\n');
  const shapes: Record<string, string> = {
    list: `<list>${all((l, w, e) => `<list-item><label>${l}</label><p>${w} ... ${e}</p></list-item>`)}</list>`,
    paragraphs: all((l, w, e) => `<p><bold>${l}</bold>\t${w} <xref ref-type="other" rid="k">${e}</xref></p>`),
    definitions: `<def-list>${all((l, w, e) => `<def-item><term>${l}</term><def><p>${w} ... ${e}</p></def></def-item>`)}</def-list>`,
    box: `<boxed-text>${all((l, w, e) => `<p>${l} ${w} ... ${e}</p>`)}</boxed-text>`,
  };
  const read = [
    '1b Shell without a keel -> 3',
    '2a Legs yellow -> Tarnia palustris <Marl, 1901, species>',
    '2b Legs black -> Tarnia hollovensis <species> [printed as sp. n.]',
    '3a Face flat -> Veltia montana <species>',
    '3b Face swollen -> Veltia tenuis <species>',
  ];

  it.each(Object.entries(shapes))('%s', async (_, body) => {
    const shown = await show(within(body));
    expect(shown).toMatch(/Key to the fen hoppers|fen-hoppers/);
    expect(shown).toMatch(/1a Shell with a keel \(Fig\. 1\) -> 2/);
    for (const line of read) expect(shown).toContain(line);
    expect(shown).not.toMatch(/error/);
  });

  it('nested lists', async () => {
    const shown = await show(
      within(`<list>
<list-item><label>1a</label><p>Shell with a keel</p><list>
<list-item><label>2a</label><p>Legs yellow: <italic>Tarnia palustris</italic></p></list-item>
<list-item><label>2b</label><p>Legs black: <italic>Tarnia hollovensis</italic></p></list-item></list></list-item>
<list-item><label>1b</label><p>Shell without a keel</p><list>
<list-item><label>3a</label><p>Face flat: <italic>Veltia montana</italic></p></list-item>
<list-item><label>3b</label><p>Face swollen: <italic>Veltia tenuis</italic></p></list-item></list></list-item></list>`),
    );
    expect(shown).toMatch(/1a Shell with a keel -> 2\n1b Shell without a keel -> 3/);
  });

  it('several keys, with the head of the article in each', async () => {
    const xml = within(
      shapes.list as string,
      `<sec><title>Key to the young hoppers</title>${shapes.definitions}</sec>`,
    );
    const { keys } = await importDocument(xml, { file: 'a.xml', when: false });
    expect(keys.map((k) => k.title)).toEqual(['Key to the fen hoppers', 'Key to the young hoppers']);
    for (const { text } of keys) expect(text).toContain('authors: [Ada Marl, Jan-Ole Pond]');
  });

  it('are named where others stand in tables', async () => {
    const xml = article([
      '1|Legs long|' + name('Perforella nana'),
      '–|Legs short|' + name('P. alba'),
    ]).replace('</body>', `<sec><title>Key to the fen hoppers</title>${shapes.list}</sec></body>`);
    const { keys, findings } = await importDocument(xml, { file: 'a.xml', when: false });
    expect(keys).toHaveLength(1);
    expect(findings.map((f) => f.message).join()).toContain(
      'not read beside those in tables: "Key to the fen hoppers"',
    );
  });
});
