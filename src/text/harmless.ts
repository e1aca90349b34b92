/**
 * Characters that must not be shown as they are: controls, which steer a terminal; invisible characters
 * (those of Unicode's Default_Ignorable_Code_Point: soft hyphens, zero-width signs, marks and overrides of
 * direction, Hangul fillers, variation selectors, tags), by which two different names look alike or words are
 * hidden; the blank Braille pattern and the marks of annotations (U+FFF9 to U+FFFB), which are not in that
 * list; and what is no character at all.
 */
const HIDDEN =
  /[\p{Cc}\u2028\u2029\p{Default_Ignorable_Code_Point}\u2800\ufff9-\ufffb\p{Noncharacter_Code_Point}\p{Cs}]/gu;

/**
 * The virama of each script that RFC 5892, Appendix A.1, lets a joiner follow (read off the Unicode Character Database:
 * Canonical_Combining_Class 9, for the scripts in common use).
 */
const VIRAMA =
  '\\u094d\\u09cd\\u0a4d\\u0acd\\u0b4d\\u0bcd\\u0c4d\\u0ccd\\u0d4d\\u0dca\\u0e3a\\u0f84\\u1039\\u103a\\u17d2';
const JOINED = '[\\p{Script=Arabic}\\p{Script=Syriac}\\p{Script=Mongolian}\\p{Script=Nko}]';

/** Hidden signs that change how ordinary writing looks, each where it does so and nowhere else. */
const ORDINARY = new RegExp(
  [
    // Joiners: after a virama, before one in Bengali, and between letters that are written joined, as in Persian.
    `(?<=[${VIRAMA}])[\\u200c\\u200d]`,
    `(?<=\\p{Script=Bengali})\\u200d(?=\\u09cd)`,
    `(?<=${JOINED})[\\u200c\\u200d](?=${JOINED})`,
    // Emoji: as text or as a picture, a digit in a key cap, and several that are joined to one.
    '(?<=\\p{Extended_Pictographic})[\\ufe0e\\ufe0f]',
    '(?<=[0-9#*])\\ufe0f(?=\\u20e3)',
    '(?<=\\p{Extended_Pictographic}\\ufe0f?|\\p{Emoji_Modifier})\\u200d(?=\\p{Extended_Pictographic})',
    // The form of a Chinese character, as names of people and places are written in Japan.
    '(?<=\\p{Script=Han})[\\u{e0100}-\\u{e01ef}]',
  ].join('|'),
  'uy',
);

/**
 * Characters that are rare in most texts: searching for these is several times as fast as searching for hidden ones.
 */
const OTHER = /[^ -~\u00a0-\u00ac\u00ae-\u034e\u0370-\u060b\u2010-\u2027\u2030-\u205e]/;

/** A text with every character that could deceive or steer replaced. */
function withoutHidden(text: string, write: (sign: string) => string): string {
  if (!OTHER.test(text)) return text;
  return text.replace(HIDDEN, (sign, at: number) => {
    ORDINARY.lastIndex = at;
    return ORDINARY.test(text) ? sign : write(sign);
  });
}

/** A text as it looks on one line: invisible characters are left out, so that texts that look alike are equal. */
export function looksLike(text: string): string {
  return withoutHidden(text.normalize('NFC'), (sign) => (BREAK.test(sign) ? ' ' : ''));
}

const BREAK = /[\n\t\r\u2028\u2029]/;

/** The first invisible character of a text, as `U+00AD`; line breaks and tabs count as visible. */
export function hiddenIn(text: string): string | undefined {
  let first: string | undefined;
  withoutHidden(text, (sign) => {
    if (!/[\n\t\r]/.test(sign)) first ??= sign;
    return sign;
  });
  return first === undefined
    ? undefined
    : `U+${(first.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, '0')}`;
}

function code(sign: string): string {
  return `\\u{${sign.codePointAt(0)?.toString(16) ?? ''}}`;
}

/**
 * Text from a key or a table as one line that can neither steer a terminal nor hide anything: line breaks and
 * tabs become spaces, other invisible characters are shown as their code (`\u{1b}`).
 */
export function harmless(text: string): string {
  return withoutHidden(text, (sign) => (BREAK.test(sign) ? ' ' : code(sign)));
}

/** The same for text of many lines: line feeds and tabs stay. */
export function harmlessLines(text: string): string {
  return withoutHidden(text, (sign) => (sign === '\n' || sign === '\t' ? sign : code(sign)));
}

/**
 * What stands in a file, quoted for a message: harmless, and cut after 60 characters so that a message stays one line.
 */
export function quoted(text: string): string {
  // At most two units a character; what is cut away need not be looked at.
  const line = harmless(text.slice(0, 2 * 61));
  const chars = [...line];
  return chars.length > 60 ? `"${chars.slice(0, 59).join('')}…"` : `"${line}"`;
}

/**
 * JSON that can neither steer a terminal nor hide anything: signs that could are written as \\uXXXX, which means the
 * same.
 */
export function visibleJson(json: string): string {
  return withoutHidden(json, (sign) =>
    // The spaces between values are written by the program itself.
    sign === '\n'
      ? sign
      : Array.from(
          { length: sign.length },
          (_, i) => `\\u${sign.charCodeAt(i).toString(16).padStart(4, '0')}`,
        ).join(''),
  );
}
