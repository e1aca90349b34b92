/**
 * The help of the whole program, for the table of commands as it is. The build makes one file of this and of what
 * it needs (`dist/help.js`), so that a lone `--help` starts nothing else.
 */
import { programHelp } from './help.js';
import { COMMANDS } from './table.js';

/** The help, filled to a terminal of so many columns; undefined when it is not written to one. */
export function helpText(columns: number | undefined): string {
  return programHelp(COMMANDS, columns);
}
