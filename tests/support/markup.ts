import { type DefaultTreeAdapterTypes, parse } from 'parse5';
import { SaxesParser } from 'saxes';
import { type Chain, loadChain } from '../../src/key/chain.js';
import { emptyShelf, type Shelf } from '../../src/key/load.js';
import { findingLines } from '../../src/words/findings.js';

/** The chain of a key given as data (JSON is YAML) or as YAML text; throws with the findings when it is not sound. */
export function chainOf(key: object | string, shelf: Shelf = emptyShelf): Chain {
  const text = typeof key === 'string' ? key : JSON.stringify(key);
  const { chain, findings } = loadChain(text, 'test.key.yaml', shelf);
  if (chain === undefined) throw new Error(findingLines(findings).join('\n'));
  return chain;
}

/** A shelf with keys on it, by id. */
export function shelfOf(keys: Readonly<Record<string, object>>): Shelf {
  return {
    key: (reference) => {
      const key = keys[reference];
      return key === undefined
        ? { ok: false, problem: 'there is none' }
        : { ok: true, file: `${reference}.key.yaml`, text: JSON.stringify(key) };
    },
    terms: () => ({ ok: false, problem: 'there is none' }),
  };
}

/** What a conforming XML parser has against a text; empty when it is well-formed. */
export function xmlFaults(text: string): string[] {
  const faults: string[] = [];
  const parser = new SaxesParser({ xmlns: true });
  parser.on('error', (error) => faults.push(error.message));
  parser.write(text).close();
  return faults;
}

/** What the HTML standard has against a text, by its own names of parse errors. */
export function htmlFaults(text: string): string[] {
  const faults: string[] = [];
  parse(text, { onParseError: (e) => faults.push(`${e.code} at line ${e.startLine}`) });
  // XML wants an end for empty elements; HTML allows the stroke and passes over it.
  return faults.filter((f) => !f.startsWith('non-void-html-element'));
}

/**
 * What a page could run or load from elsewhere, element by element: scripts, frames, pictures, handlers, addresses that
 * are neither on the page nor on the web.
 */
export function htmlDangers(text: string): string[] {
  const dangers: string[] = [];
  const visit = (node: DefaultTreeAdapterTypes.Node): void => {
    if ('attrs' in node) {
      if (/^(script|iframe|object|embed|img|link|base|form|svg)$/.test(node.tagName))
        dangers.push(node.tagName);
      for (const { name, value } of node.attrs) {
        if (name.startsWith('on') || name === 'src') dangers.push(`${node.tagName} ${name}`);
        if (name === 'href' && !/^(#|https?:\/\/)/.test(value)) dangers.push(value);
      }
    }
    if ('value' in node && 'parentNode' in node && node.parentNode?.nodeName === 'style')
      if (/@import|url\(|expression/i.test(node.value)) dangers.push(node.value);
    if ('childNodes' in node) for (const child of node.childNodes) visit(child);
  };
  visit(parse(text));
  return dangers;
}

/** Texts that try to break out of wherever they are put. */
export const NASTY = [
  '</style><script>alert(1)</script>',
  '"]; evil [label="x',
  "' onload='x",
  '&amp; &lt; &#60; &nbsp; <b>',
  ']]> <!-- --> --> <?x ?>',
  'back\\slash \\N \\G \\l \\" end\\',
  '*star* _under_ `code` [link](javascript:x) ![i](x) <http://x.example>',
  '# heading',
  '1. list',
  '- list',
  '| a | b |',
  'two\nlines\tand tab',
  'bell\u0007 esc\u001b[31m red',
  'turned \u202e round \u200b',
  'lone \ud800 half and \uffff',
  'click x "javascript:alert(1)"',
  'A --> B; end; subgraph; %% note',
  '@{ shape: x } #quot; #35;',
  '日本語の鍵 und Größe 𝒳',
  '$x^2$ ~~gone~~ ==mark==',
];
