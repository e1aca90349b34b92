/** A text as an id: plain letters in lower case and digits, all else a hyphen. `slug` also knows other scripts. */
export function hyphened(text: string): string {
  return text
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
}
