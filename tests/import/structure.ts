/** What an imported key says, for comparing with what was printed. */
import { importDocument } from '../../src/commands/import/document.js';
import { type Imported, type ImportOptions, importText } from '../../src/commands/import/print.js';
import type { End, Key } from '../../src/key/key.js';
import { emptyShelf, loadKey } from '../../src/key/load.js';
import type { PlainKey } from './printers.js';

/** Imports a text and loads every key that came out. */
export function imported(
  text: string,
  options: Partial<ImportOptions> = {},
): { result: Imported; keys: Key[]; problems: string[] } {
  return loadedOf(importText(text, { file: 'print.txt', ...options }));
}

/** The same of a text of any kind. */
export async function importedDocument(
  text: string,
  options: Partial<ImportOptions> = {},
): Promise<{ result: Imported; keys: Key[]; problems: string[] }> {
  return loadedOf(await importDocument(text, { file: 'print.txt', ...options }));
}

function loadedOf(result: Imported): { result: Imported; keys: Key[]; problems: string[] } {
  const problems: string[] = [];
  const keys = result.keys.flatMap((k) => {
    const loaded = loadKey(k.text, `${k.id}.key.yaml`, emptyShelf);
    problems.push(...loaded.findings.map((f) => f.message));
    return loaded.key === undefined ? [] : [loaded.key];
  });
  return { result, keys, problems };
}

/** A key as nested text from its start: couplets by the order in which they are first met. */
export function shapeOfKey(key: Key): string[] {
  const order = new Map<string, number>();
  const met = (id: string) => {
    if (!order.has(id)) order.set(id, order.size);
    return order.get(id) as number;
  };
  met(key.start);
  const lines: string[] = [];
  for (let n = 0; n < order.size && n < 100_000; n++) {
    const id = [...order.keys()][n] as string;
    for (const lead of key.couplets.get(id)?.leads ?? []) {
      const { end } = lead;
      const to =
        end.kind === 'couplet'
          ? `#${met(end.couplet)}`
          : end.kind === 'taxa'
            ? end.taxa.map((t) => key.taxa.get(t)?.name).join(' + ')
            : `key ${end.key}`;
      lines.push(`${n}: ${plain(lead.text)} -> ${to}`);
    }
  }
  return lines;
}

/** The same of a key as data. */
export function shapeOfPlain(key: PlainKey): string[] {
  const order = new Map<number, number>([[0, 0]]);
  const lines: string[] = [];
  for (let n = 0; n < order.size; n++) {
    const at = [...order.keys()][n] as number;
    for (const lead of key[at] ?? []) {
      if (typeof lead.to === 'number' && !order.has(lead.to)) order.set(lead.to, order.size);
      lines.push(
        `${n}: ${plain(lead.words)} -> ${typeof lead.to === 'number' ? `#${order.get(lead.to)}` : lead.to}`,
      );
    }
  }
  return lines;
}

function plain(words: string): string {
  return words.replace(/\s+/g, ' ').replace(/[.,;:\s–-]+$/, '');
}

/** All that came of a text, line by line, for reading and for comparing with what was approved. */
export function shown(text: string, options: Partial<ImportOptions> = {}): string {
  return shownOf(imported(text, options));
}

/** The same of a text of any kind; how sure each couplet is stands behind its last lead. */
export async function shownDocument(text: string, options: Partial<ImportOptions> = {}): Promise<string> {
  const read = await importedDocument(text, options);
  const sure = read.result.keys.flatMap((k) => k.text.match(/: (?:clear|likely|doubtful)$/gm) ?? []);
  return `${shownOf(read)}sure${sure.join('')}\n`;
}

function shownOf({ result, keys, problems }: { result: Imported; keys: Key[]; problems: string[] }): string {
  const lines: string[] = [];
  result.keys.forEach(({ id, title, layout }, i) => {
    const key = keys[i];
    lines.push(`= ${id} | ${title} | ${layout}`);
    for (const couplet of key?.couplets.values() ?? [])
      for (const lead of couplet.leads) {
        const when = lead.when === undefined ? '' : ' {when}';
        const note = lead.note === undefined ? '' : ` [${lead.note}]`;
        const reaches = lead.reaches === undefined ? '' : ` (reaches ${lead.reaches})`;
        lines.push(
          `${couplet.id}${lead.letter} ${lead.text} -> ${endOf(key as Key, lead.end)}${reaches}${note}${when}`,
        );
      }
  });
  lines.push(...problems.map((p) => `not sound: ${p}`));
  for (const f of result.findings)
    lines.push(`line ${f.place.start.line}, ${f.level}: ${f.message} [${f.rule}]`);
  return `${lines.join('\n')}\n`;
}

function endOf(key: Key, end: End): string {
  if (end.kind === 'couplet') return end.couplet;
  if (end.kind === 'key') return `key ${end.key}`;
  if (end.taxa.length === 0) return 'NOTHING';
  return end.taxa
    .map((id) => {
      const taxon = key.taxa.get(id);
      if (taxon === undefined) return `unknown ${id}`;
      const more = [
        taxon.authority,
        taxon.rank,
        ...taxon.common.map((c) => `"${c}"`),
        taxon.within && `in ${taxon.within}`,
      ];
      return `${taxon.name} <${more.filter((m) => m !== undefined && m !== '').join(', ')}>`;
    })
    .join(' + ');
}
