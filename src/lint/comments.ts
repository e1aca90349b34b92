import { Lexer } from 'yaml';
import type { Position } from '../diagnostic/finding.js';
import type { Lines } from '../diagnostic/lines.js';

/** A comment of a YAML text, from its `#` to the end of the line. */
export interface Comment {
  readonly text: string;
  readonly start: Position;
  /** Whether nothing else stands on its line. */
  readonly alone: boolean;
}

// What the lexer puts between the tokens of the text: a scalar follows, a flow collection ends, a document begins.
const SCALAR = '\u001f';
const MARKS = new Set([SCALAR, '\u0018', '\u0002']);

/** The comments of a YAML text in order. A `#` in quoted text, in a block of text or inside a word begins none. */
export function commentsOf(lines: Lines): Comment[] {
  const comments: Comment[] = [];
  let offset = 0;
  let text = false;
  for (const token of new Lexer().lex(lines.text)) {
    if (!text && MARKS.has(token)) {
      text = token === SCALAR;
      continue;
    }
    if (!text && token.startsWith('#')) {
      const start = lines.at(offset);
      const before = lines.text.slice(offset - start.column + 1, offset);
      comments.push({ text: token.trimEnd(), start, alone: before.trim() === '' });
    }
    text = false;
    offset += token.length;
  }
  return comments;
}
