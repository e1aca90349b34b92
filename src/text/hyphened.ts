/** Plain letters and digits of a text as an id has them: small, all else a hyphen. `slug` knows other scripts. */
export function hyphened(text: string): string {
  return text
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
}
