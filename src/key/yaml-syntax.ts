/** What is wrong with the syntax of a YAML text, in words for authors of keys. */
import { type Node, visit } from 'yaml';

/**
 * Where values begin with a sign that must be quoted, each once, when nothing else is wrong with a text: `>=
 * 5` is then taken as text in braces, and as an empty block of text elsewhere, and what stands below is read
 * as it should be.
 */
export function unquotedSigns(
  errors: readonly { code: string; pos: readonly number[] }[],
  source: string,
): number[] | undefined {
  const signs = new Set<number>();
  for (const { code, pos } of errors) {
    const [at = 0] = pos;
    const line = source.lastIndexOf('\n', at - 1) + 1;
    const block = /:\s+(?=[>|][^\n]*$)/.exec(source.slice(line, source.indexOf('\n', at) >>> 0));
    if (code === 'BAD_SCALAR_START') signs.add(at);
    else if (code === 'UNEXPECTED_TOKEN' && block !== null) signs.add(line + block.index + block[0].length);
    else return undefined;
  }
  return signs.size === 0 ? undefined : [...signs];
}

/** Where the quoted text begins that runs on to an offset. */
export function openingQuote(root: Node | null, end: number): number | undefined {
  let start: number | undefined;
  if (root !== null)
    visit(root, {
      Scalar(_, { type, range }) {
        const quotedText = type === 'QUOTE_DOUBLE' || type === 'QUOTE_SINGLE';
        if (quotedText && range && range[0] < end && end <= range[2]) start = range[0];
      },
    });
  return start;
}

const SYNTAX: Record<string, string> = {
  TAB_AS_INDENT: 'A tab stands where YAML needs spaces.',
  BAD_INDENT: 'The indentation does not fit the lines above.',
  MISSING_CHAR: 'Something is missing here, such as a closing quote, a bracket, or the ":" after a name.',
  UNEXPECTED_TOKEN: 'This cannot stand here; a text with ":" or "#" in it needs quotes.',
  MULTILINE_IMPLICIT_KEY: 'A name before ":" must stand in one line.',
  BLOCK_AS_IMPLICIT_KEY: 'A second ":" in one line: put the text in quotes.',
  BAD_SCALAR_START: 'A text cannot begin with this sign; put it in quotes.',
  MULTIPLE_DOCS: 'Only one document may stand in the file ("---" starts a second one).',
  BAD_ALIAS: 'A text cannot begin with & or *, which name an alias; put it in quotes.',
  DUPLICATE_KEY: 'This name stands twice.',
};

/** What the parser says, by its code, in plain words. */
export function syntaxMessage(code: string, message = ''): string {
  const bracket = /end with an? ([\]}])/.exec(message)?.[1];
  if (bracket !== undefined)
    return `A "${bracket === ']' ? '[' : '{'}" that was opened above is not closed before this with "${bracket}"; if a text begins with it, put it in quotes.`;
  return SYNTAX[code] ?? `The YAML cannot be read here: ${message.split('\n')[0] ?? ''}`;
}
