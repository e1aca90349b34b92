/** The id that a key states near its top, without parsing it. */
export function idInText(head: string): string | undefined {
  return /^id:\s*["']?([a-z0-9][a-z0-9-]*)/m.exec(head)?.[1];
}
