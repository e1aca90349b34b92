/** The kind of a zip archive. */
export const ARCHIVE = 'application/zip';

/** A file that is handed out, and what may go instead where the device hands on no file of its kind. */
export interface HandedOut {
  readonly file: File;
  readonly loose?: readonly File[];
}

/** Whether the device can hand a record on to another program; `all`: an archive too. */
export function canShare(all = false): boolean {
  return (
    shareable({ file: all ? new File([], 'x.zip', { type: ARCHIVE }) : textFile('x.yaml', '') }) !== undefined
  );
}

/** Hands a file on to a program that the person chooses; `left` when they choose none. */
export async function shareFile(out: HandedOut): Promise<'shared' | 'left' | 'cannot'> {
  const files = shareable(out);
  if (files === undefined) return 'cannot';
  try {
    await navigator.share({ files, title: out.file.name });
    return 'shared';
  } catch (error) {
    return (error as Error).name === 'AbortError' ? 'left' : 'cannot';
  }
}

/** Devices hand on only files of some kinds: where YAML is none of them, a record has the ending of plain text besides. */
function shareable({ file, loose = [] }: HandedOut): File[] | undefined {
  if (!('share' in navigator) || !('canShare' in navigator)) return undefined;
  const plain = (f: File) => (f.type === YAML ? new File([f], `${f.name}.txt`, { type: 'text/plain' }) : f);
  const tries = [[file], [plain(file)], [...loose], loose.map(plain)];
  return tries.find((files) => files.length > 0 && navigator.canShare({ files }));
}

const YAML = 'text/yaml';

/** A record as a file. */
export function textFile(name: string, text: string): File {
  return new File([text], name, { type: YAML });
}

/** Saves a file, where the browser saves files. */
export function saveFile(file: File): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(file);
  link.download = file.name;
  link.click();
  // Some browsers begin to read it only after the click was handled.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
