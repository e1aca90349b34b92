/**
 * A text without differences that do not change what it says: capitals, spaces around it and how many there
 * are within, hyphen or space between words, the form of dashes and apostrophes, how letters are composed,
 * full or half width, signs that cannot be seen. Accents and all other signs count.
 */
export function normalized(text: string): string {
  const plain = text
    .replace(/[\uff00-\uffef]+/g, (wide) => wide.normalize('NFKC'))
    .normalize('NFC')
    .replace(/[\u00ad\u200b\u200e\u200f\u2060\ufeff]|\ufe0e|\ufe0f/g, '')
    .replace(/[\u2010-\u2015\u2212]/g, '-')
    .replace(/[’ʼ]/g, "'");
  // Letter by letter, so that ß is ss and a final sigma a sigma; the dotless i is a letter of its own.
  const folded = [...plain.normalize('NFC')].map((letter) => {
    const small = letter.toLowerCase();
    return small === 'ı' ? small : small.toUpperCase().toLowerCase();
  });
  return folded
    .join('')
    .normalize('NFC')
    .replace(/(?<=[\p{L}\p{N}\p{M}])[-_\s]+(?=[\p{L}\p{N}])/gu, ' ')
    .replace(/\s+/g, ' ')
    .trim();
}
