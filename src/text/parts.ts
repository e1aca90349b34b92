/** The parts of a text that holds several, separated by `|` as in all cells and values: trimmed, without empty ones. */
export function partsOf(text: string): string[] {
  return text
    .split('|')
    .map((part) => part.trim())
    .filter((part) => part !== '');
}
