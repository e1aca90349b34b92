/** Characters that could steer a terminal or reorder what is read: C0, DEL, C1, zero-width and bidirectional controls. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: finding control characters is what this is for
const CONTROL = /[\u0000-\u001f\u007f-\u009f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]/g;

/**
 * Text from a key or a table as one line that cannot steer a terminal: line breaks and tabs become spaces,
 * other control characters are shown as their code (`\u{1b}`).
 */
export function harmless(text: string): string {
  return text.replace(CONTROL, (c) =>
    c === '\n' || c === '\t' || c === '\r' || c === '\u2028' || c === '\u2029'
      ? ' '
      : `\\u{${c.codePointAt(0)?.toString(16) ?? ''}}`,
  );
}

const CONTROL_IN_LINES =
  // biome-ignore lint/suspicious/noControlCharactersInRegex: finding control characters is what this is for
  /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]/g;

/** Text of many lines that cannot steer a terminal: line feeds and tabs stay, other control characters become their code. */
export function harmlessLines(text: string): string {
  return text.replace(CONTROL_IN_LINES, (c) => `\\u{${c.codePointAt(0)?.toString(16) ?? ''}}`);
}

/** What stands in a file, quoted for a message: harmless, and cut after 60 characters so that a message stays one line. */
export function quoted(text: string): string {
  // At most two units a character; what is cut away need not be looked at.
  const line = harmless(text.slice(0, 2 * 61));
  const chars = [...line];
  return chars.length > 60 ? `"${chars.slice(0, 59).join('')}…"` : `"${line}"`;
}
