/** Whether something that begins like this is a zip archive. */
export function isArchive(start: Uint8Array): boolean {
  const [p, k, third, fourth] = start;
  return p === 0x50 && k === 0x4b && ((third === 3 && fourth === 4) || (third === 5 && fourth === 6));
}
