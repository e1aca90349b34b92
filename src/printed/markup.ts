import { harmless } from '../text/harmless.js';
import type { Span } from './names.js';

/** Text that a markup language can hold: harmless, and without the few characters that XML forbids. */
export function xmlText(text: string): string {
  return harmless(text.replace(/\p{Surrogate}|[\ufffe\uffff]/gu, '\ufffd'));
}

const ESCAPES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** A text as HTML or XML, between tags and inside the quotes of an attribute. */
export function escaped(text: string): string {
  return xmlText(text).replace(/[&<>"']/g, (c) => ESCAPES[c] ?? c);
}

/** Spans as HTML: scientific names in `<i>`. */
export function htmlSpans(spans: readonly Span[]): string {
  return spans.map(({ text, italic }) => (italic ? `<i>${escaped(text)}</i>` : escaped(text))).join('');
}

/** A text as Markdown that shows just this text, also at the beginning of a line. */
export function markdown(text: string): string {
  return (
    xmlText(text)
      .replace(/[\\`*_{}[\]<>#|~&!$]/g, (c) => `\\${c}`)
      .replace(/^(\s*)([-+=:])/, '$1\\$2')
      .replace(/^(\s*\d+)([.)])/, '$1\\$2')
      // Addresses become links by themselves in some dialects.
      .replace(/\b(https?|ftp|mailto):/g, '$1\\:')
      .replace(/\bwww\./g, 'www\\.')
      .replace(/@/g, '\\@')
  );
}

/** Spans as Markdown: scientific names between asterisks. */
export function markdownSpans(spans: readonly Span[]): string {
  return spans.map(({ text, italic }) => (italic ? `*${markdown(text)}*` : markdown(text))).join('');
}
