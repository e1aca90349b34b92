import { type App, localDay } from './app.js';
import { messages as say } from './messages.js';
import { OpenFind } from './model/find.js';
import { recordName, recordText } from './record-file.js';
import { ARCHIVE, type HandedOut, textFile } from './sharing.js';

/**
 * What a find is handed out as: the file that `run --record` writes or, where photographs are kept of it, an archive of both; a
 * record that names photographs is of little use without them.
 */
export async function handOut(app: App, open: OpenFind): Promise<HandedOut> {
  const record = textFile(recordName(open), recordText(open));
  const photographs = await photographsOf(app, open);
  if (photographs.size === 0) return { file: record };
  const name = record.name.replace(/\.record\.yaml$/, '.zip');
  return {
    file: await archive(app, [open], name),
    loose: [
      record,
      ...[...photographs].map(([file, picture]) => new File([picture], file, { type: picture.type })),
    ],
  };
}

/** Several finds as one archive with their photographs, and those that cannot be read, with why. */
export async function handOutAll(
  app: App,
  ids: readonly string[],
): Promise<{ readonly out: HandedOut; readonly problems: readonly string[] }> {
  await app.saved();
  const finds: OpenFind[] = [];
  const problems: string[] = [];
  for (const id of ids) {
    const read = await app.read(id);
    if (read instanceof OpenFind) finds.push(read);
    else if (read !== undefined) problems.push(say.store.damaged(read.called, read.why));
  }
  const name = `${say.archiveName(localDay(app.now()))}.zip`;
  return { out: { file: await archive(app, finds, name) }, problems };
}

async function archive(app: App, finds: readonly OpenFind[], name: string): Promise<File> {
  const packed = [];
  for (const open of finds) {
    const photographs = new Map<string, Uint8Array>();
    for (const [file, picture] of await photographsOf(app, open))
      photographs.set(file, new Uint8Array(await picture.arrayBuffer()));
    packed.push({ id: open.called, record: recordText(open), photographs });
  }
  // What packs is made ready when it is needed first: it takes as long as all else of the program.
  const { packFinds } = await import('../record/finds-archive.js');
  return new File([packFinds(packed) as BlobPart], name, { type: ARCHIVE });
}

async function photographsOf(app: App, open: OpenFind): Promise<Map<string, Blob>> {
  const found = new Map<string, Blob>();
  for (const { file } of open.keying.collection.photographs ?? []) {
    const picture = await (await app.store).photograph(open.id, file);
    if (picture !== undefined) found.set(file, picture);
  }
  return found;
}
