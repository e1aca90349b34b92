/** The files that stand in a folder. */
import { readdirSync } from 'node:fs';
import { systemFailure } from '../diagnostic/system-error.js';
import { byCodeUnit } from '../text/words.js';

/** The names of the files in a folder, sorted; hidden ones and folders are passed over. Throws a Failure when it cannot be read. */
export function filesIn(folder: string, shown: string): string[] {
  try {
    return readdirSync(folder, { withFileTypes: true })
      .filter((entry) => entry.isFile() && !entry.name.startsWith('.'))
      .map((entry) => entry.name)
      .sort(byCodeUnit);
  } catch (error) {
    throw systemFailure(error, shown);
  }
}
