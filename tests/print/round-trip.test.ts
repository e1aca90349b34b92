import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { importText } from '../../src/commands/import/print.js';
import { type KeyLayout, printText } from '../../src/commands/print/text.js';
import { FolderShelf } from '../../src/files/shelf.js';
import { type Chain, loadChain } from '../../src/key/chain.js';
import { toPrinted } from '../../src/printed/key.js';
import { PLAIN } from '../../src/text/paint.js';
import { chainOf } from '../support/markup.js';

const root = fileURLToPath(new URL('../..', import.meta.url));
const shelf = new FolderShelf(root);

function shipped(name: string): Chain {
  const file = `keys/${name}`;
  const { chain } = loadChain(readFileSync(`${root}/${file}`, 'utf8'), file, shelf);
  if (chain === undefined) throw new Error(`${name} is not sound`);
  return chain;
}

/** Couplets, words and ends of a key, in order. */
function structure({ main }: Chain): string[] {
  return [...main.couplets.values()].flatMap(({ id, leads }) =>
    leads.map(({ text, end }) => {
      const names = end.kind === 'taxa' ? end.taxa.map((t) => main.taxa.get(t)?.name).join(' or ') : '';
      return `${id}: ${text} -> ${end.kind === 'couplet' ? end.couplet : names}`;
    }),
  );
}

// Keys that continue in another are left out: a print refers to it by its title, which no file name can be told from.
const alone = readdirSync(`${root}/keys`).filter(
  (name) => name.endsWith('.key.yaml') && shipped(name).keys.length === 1,
);

describe('what is printed is imported with the same couplets and ends', () => {
  for (const layout of ['bracketed', 'indented'] satisfies KeyLayout[])
    it.each(alone)(`%s, ${layout}`, (name) => {
      const chain = shipped(name);
      const text = printText(toPrinted(chain), {
        layout,
        levels: 8,
        cautions: [],
        brief: true,
        signature: '',
        width: 90,
        paint: PLAIN,
      });
      const { keys } = importText(text, { file: 'print.txt', when: false });
      expect(keys.length).toBe(1);
      expect(structure(chainOf(keys[0]?.text ?? ''))).toEqual(structure(chain));
    });
});
