/** Terms of use as an article states them, as a licence by its SPDX name. */

/** The SPDX name of a Creative Commons licence, from its address or from words; undefined where neither names one. */
export function licenceOf(link: string, words: string): string | undefined {
  for (const text of [link, words]) {
    const url =
      /creativecommons\.org\/(?:licenses\/([a-z-]+)\/(\d\.\d)|(publicdomain\/zero)\/(\d\.\d))/i.exec(text);
    if (url?.[1] !== undefined) return `CC-${url[1].toUpperCase()}-${url[2]}`;
    if (url?.[3] !== undefined) return `CC0-${url[4]}`;
  }
  const short = /\bCC[\s-]?(BY(?:[\s-](?:NC|ND|SA))*)[\s-]?(?:v(?:ersion)?\.?\s?)?(\d\.\d)\b/i.exec(words);
  if (short !== null) return `CC-${(short[1] as string).toUpperCase().replace(/\s/g, '-')}-${short[2]}`;
  const zero = /\bCC[\s-]?0\b|public domain dedication/i.exec(words);
  if (zero !== null) return 'CC0-1.0';
  const long =
    /Creative Commons Attribution((?:[\s-–]+(?:Non-?Commercial|No-?Deriv(?:ative)?s|Share-?Alike))*)(?:\s+(?:International|Licen[cs]e|Unported|Generic|Version))*\s+(\d\.\d)/i.exec(
      words,
    );
  if (long === null) return undefined;
  const parts = ['BY'];
  for (const [pattern, part] of [
    [/non-?commercial/i, 'NC'],
    [/no-?deriv/i, 'ND'],
    [/share-?alike/i, 'SA'],
  ] as const)
    if (pattern.test(long[1] ?? '')) parts.push(part);
  return `CC-${parts.join('-')}-${long[2]}`;
}

/** What forbids passing on a key made from a text under these terms; undefined where nothing does. */
export function hindrance(licence: string | undefined, terms: string | undefined): string | undefined {
  if (licence !== undefined) {
    if (/^CC0-|^CC-BY(?:-SA)?-\d/.test(licence)) return undefined;
    return `the licence of the article, ${licence}, does not let everybody share a key made from it${/-ND/.test(licence) ? ': it allows no changed copies' : /-NC/.test(licence) ? ': it allows no commercial use' : ''}`;
  }
  if (terms !== undefined && /Creative Commons Attribution|\bCC[\s-]?BY\b/i.test(terms)) {
    const narrow = /non-?commercial|no-?deriv|\bNC\b|\bND\b/i.test(terms);
    return narrow
      ? 'the terms of the article do not let everybody share a key made from it'
      : 'the article names a Creative Commons Attribution licence without its version: write it under "licence"';
  }
  return terms === undefined
    ? 'the article states no licence: do not share the key before its authors agree'
    : 'the terms of the article are no licence that is known to allow sharing: read them before you share the key';
}
