/** Word documents, in our own wording: their XML is packed here as Word packs it. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { zipSync } from 'fflate';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { importWord } from '../../src/commands/import/document.js';
import { inProcess } from '../support/in-process.js';

const W = 'xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"';
const body = (inner: string) =>
  `<?xml version="1.0"?><w:document ${W}><w:body>${inner}</w:body></w:document>`;
/** A paragraph; `_x_` is set in italics, a tab is a tab. */
function p(text: string, properties = ''): string {
  const runs = text.split(/(_[^_]+_|\t)/).filter((t) => t !== '');
  const xml = runs.map((run) => {
    if (run === '\t') return '<w:r><w:tab/></w:r>';
    const italic = run.startsWith('_');
    return `<w:r>${italic ? '<w:rPr><w:i/></w:rPr>' : ''}<w:t xml:space="preserve">${italic ? run.slice(1, -1) : run}</w:t></w:r>`;
  });
  return `<w:p><w:pPr>${properties}</w:pPr>${xml.join('')}</w:p>`;
}
const list = (level: number, id = 1) =>
  `<w:numPr><w:ilvl w:val="${level}"/><w:numId w:val="${id}"/></w:numPr>`;
const row = (...cells: string[]) =>
  `<w:tr>${cells.map((c) => `<w:tc><w:tcPr></w:tcPr>${c.startsWith('<') ? c : p(c)}</w:tc>`).join('')}</w:tr>`;
const NUMBERING = `<w:numbering ${W}><w:abstractNum w:abstractNumId="5"><w:lvl w:ilvl="0"><w:start w:val="1"/><w:numFmt w:val="decimal"/><w:lvlText w:val="%1."/></w:lvl><w:lvl w:ilvl="1"><w:start w:val="1"/><w:numFmt w:val="lowerLetter"/><w:lvlText w:val="%1%2."/></w:lvl></w:abstractNum><w:num w:numId="1"><w:abstractNumId w:val="5"/></w:num></w:numbering>`;

/** Couplet, words and end of each lead. */
async function leads(xml: string, numbering?: string): Promise<string[]> {
  const { keys, findings } = await importWord({ body: xml, numbering }, { file: 'mites.docx', when: false });
  expect(findings.filter((f) => f.level === 'error')).toEqual([]);
  const text = keys[0]?.text ?? '';
  return [...text.matchAll(/- lead: (.*)\n\s+(?:to|taxon): (.*)/g)].map((m) => `${m[1]} -> ${m[2]}`);
}

const KEY = [
  'Body flat -> 2',
  'Body round -> perforella-nana',
  'Legs banded -> perforella-fasciata',
  'Legs plain -> perforella-alba',
];

describe('a Word document', () => {
  it('with a table', async () => {
    const xml = body(
      p('Key to the mites', '<w:pStyle w:val="Heading1"/>') +
        `<w:tbl>${row('1', 'Body flat', '2')}${row('–', 'Body round', '_Perforella nana_ Marl')}${row('2', 'Legs banded', '_Perforella fasciata_')}${row('–', 'Legs plain', '_Perforella alba_')}</w:tbl>`,
    );
    expect(await leads(xml)).toEqual(KEY);
    expect((await importWord({ body: xml, numbering: undefined }, { file: 'x' })).keys[0]?.title).toBe(
      'Key to the mites',
    );
  });

  it('with a table that Word numbers, and cells over two rows', async () => {
    const merged = (kind: string, inner: string) =>
      `<w:tc><w:tcPr><w:vMerge${kind}/></w:tcPr>${inner}</w:tc>`;
    const pair = (a: string[], b: string[]) =>
      `<w:tr>${merged(' w:val="restart"', p('', list(0)))}${a.map((c) => `<w:tc>${p(c)}</w:tc>`).join('')}</w:tr><w:tr>${merged('', p(''))}${b.map((c) => `<w:tc>${p(c)}</w:tc>`).join('')}</w:tr>`;
    const xml = body(
      `<w:tbl>${pair(['Body flat', '2'], ['Body round', '_Perforella nana_'])}${pair(['Legs banded', '_Perforella fasciata_'], ['Legs plain', '_Perforella alba_'])}</w:tbl>`,
    );
    expect(await leads(xml, NUMBERING)).toEqual(KEY);
  });

  it('with paragraphs and tabs', async () => {
    const xml = body(
      p('Key to the mites') +
        p('1a.\tBody flat, and the legs of no great length\t2') +
        p('1b.\tBody round, and the legs of no great length\t_Perforella nana_') +
        p('2a.\tLegs banded in red, at least above the knee\t_Perforella fasciata_') +
        p('2b.\tLegs plain, of one colour, or nearly so\t_Perforella alba_'),
    );
    expect((await leads(xml)).map((l) => l.replace(/.* -> /, ''))).toEqual(
      KEY.map((l) => l.replace(/.* -> /, '')),
    );
  });

  it('with couplets that Word numbers', async () => {
    const xml = body(
      p('Key to the mites') +
        p('Body flat, at least in the middle\t2', list(0)) +
        p('– Body round, thick and pale\t_Perforella nana_') +
        p('Legs banded above the knee\t_Perforella fasciata_', list(0)) +
        p('– Legs plain in all parts\t_Perforella alba_'),
    );
    expect((await leads(xml, NUMBERING)).map((l) => l.replace(/.* -> /, ''))).toEqual(
      KEY.map((l) => l.replace(/.* -> /, '')),
    );
  });

  it('without what was deleted', async () => {
    const gone = '<w:p><w:del><w:r><w:delText>3a Gone</w:delText></w:r></w:del></w:p>';
    const xml = body(
      `${gone}<w:tbl>${row('1', 'Body flat', '2')}${row('–', 'Body round', '_Perforella nana_')}${row('2', 'Legs banded', '_Perforella fasciata_')}${row('–', 'Legs plain', '_Perforella alba_')}</w:tbl>`,
    );
    expect(await leads(xml)).toEqual(KEY);
  });
});

describe('import of a .docx file', () => {
  let folder = '';
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'keywright-word-'));
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));
  const pack = (name: string, files: Record<string, string>) =>
    writeFileSync(
      join(folder, name),
      zipSync(Object.fromEntries(Object.entries(files).map(([n, t]) => [n, new TextEncoder().encode(t)]))),
    );
  const table = `<w:tbl>${row('1', 'Body flat', '_Aria alba_')}${row('–', 'Body round', '_Aria nigra_')}</w:tbl>`;

  it('writes its key', async () => {
    pack('mites.docx', { 'word/document.xml': body(p('Mites') + table) });
    const { code, out, err } = await inProcess(['import', 'mites.docx'], { cwd: folder });
    expect([code, err.includes('layout table')]).toEqual([0, true]);
    expect(out).toContain('title: Mites');
  });

  it('refuses archives that are no documents, and damaged ones', async () => {
    pack('other.docx', { 'a.txt': 'x' });
    const other = await inProcess(['import', 'other.docx'], { cwd: folder });
    expect([other.code, other.err.includes('no Word document')]).toEqual([2, true]);
    writeFileSync(join(folder, 'cut.docx'), Buffer.from('PK\u0003\u0004 and nothing more'));
    expect((await inProcess(['import', 'cut.docx'], { cwd: folder })).code).toBe(2);
    pack('broken.docx', { 'word/document.xml': body(table).slice(0, -26) });
    const broken = await inProcess(['import', 'broken.docx', '--out', 'keys'], { cwd: folder });
    expect(broken.err).toContain('the document cannot be read from here on');
    expect(broken.code).toBe(1);
  });
});
