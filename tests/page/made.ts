/** Pages and finds made without a disk or a browser. */
import { contentsOf } from '../../src/commands/page/contents.js';
import { type CompiledKey, compile } from '../../src/engine/compile.js';
import { emptyShelf, type Shelf } from '../../src/key/load.js';
import { openPageKey, type PageData } from '../../src/page/data.js';
import { keyMark } from '../../src/record/key-mark.js';

/** A key as the program opens it, and as its page does, from what went through JSON. */
export interface BothKeys {
  readonly here: CompiledKey;
  readonly inPage: CompiledKey;
  readonly data: PageData;
}

export function bothKeys(text: string, file = 'test.key.yaml', shelf: Shelf = emptyShelf): BothKeys {
  const contents = contentsOf(text, file, shelf);
  if (contents === undefined) throw new Error('the key is not sound');
  const data: PageData = {
    program: 'keywright 0.0.0-test',
    made: '2026-10-18',
    mark: keyMark(contents.chain),
    main: file,
    files: contents.files,
    figures: {},
  };
  const sent = JSON.parse(JSON.stringify(data)) as PageData;
  return { here: compile(contents.chain), inPage: openPageKey(sent), data: sent };
}
