/** Whether the device can hand a file on to another program. */
export function canShare(): boolean {
  return shareable('x.record.yaml', '') !== undefined;
}

/**
 * Hands a text on as a file to a program that the person chooses; `left` when they choose none. Devices hand on only files of
 * some kinds: where YAML is none of them, the file has the ending of plain text besides.
 */
export async function shareText(name: string, text: string): Promise<'shared' | 'left' | 'cannot'> {
  const files = shareable(name, text);
  if (files === undefined) return 'cannot';
  try {
    await navigator.share({ files, title: name });
    return 'shared';
  } catch (error) {
    return (error as Error).name === 'AbortError' ? 'left' : 'cannot';
  }
}

function shareable(name: string, text: string): File[] | undefined {
  if (!('share' in navigator) || !('canShare' in navigator)) return undefined;
  const tries = [
    new File([text], name, { type: 'text/yaml' }),
    new File([text], `${name}.txt`, { type: 'text/plain' }),
  ];
  const file = tries.find((f) => navigator.canShare({ files: [f] }));
  return file === undefined ? undefined : [file];
}

/** Saves a text as a file, where the browser saves files. */
export function saveText(name: string, text: string): void {
  saveFile(name, new Blob([text], { type: 'text/yaml' }));
}

/** Saves something as a file, where the browser saves files. */
export function saveFile(name: string, content: Blob): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(content);
  link.download = name;
  link.click();
  // Some browsers begin to read it only after the click was handled.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
