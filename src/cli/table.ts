/**
 * Every command, in the order of the help. Adding one: its module beside this file, exporting `action`, an
 * entry in `entries`, and a line here. Modules are loaded when the command is asked for, never before.
 */

import { BUNDLE } from '../commands/bundle/entry.js';
import type { CommandEntry } from '../commands/command.js';
import { COMPARE } from '../commands/compare/entry.js';
import { COMPLETION } from '../commands/completion/entry.js';
import { CORRESPOND } from '../commands/correspond/entry.js';
import { DIFF } from '../commands/diff/entry.js';
import { DRAFT } from '../commands/draft/entry.js';
import { DRAW } from '../commands/draw/entry.js';
import { EXPLAIN } from '../commands/explain/entry.js';
import { IDENTIFY } from '../commands/identify/entry.js';
import { IMPORT } from '../commands/import/entry.js';
import { LINT } from '../commands/lint/entry.js';
import { NEW } from '../commands/new/entry.js';
import { PAGE } from '../commands/page/entry.js';
import { PRINT } from '../commands/print/entry.js';
import { REDO } from '../commands/redo/entry.js';
import { REPORT } from '../commands/report/entry.js';
import { RUN } from '../commands/run/entry.js';
import { SHEET } from '../commands/sheet/entry.js';
import { SHOW } from '../commands/show/entry.js';
import { TEST } from '../commands/test/entry.js';
import { TRIM } from '../commands/trim/entry.js';

/** The commands. */
export const COMMANDS: readonly CommandEntry[] = [
  RUN,
  IDENTIFY,
  COMPARE,
  SHEET,
  PAGE,
  REPORT,
  REDO,
  LINT,
  EXPLAIN,
  TEST,
  DIFF,
  SHOW,
  DRAW,
  NEW,
  PRINT,
  IMPORT,
  DRAFT,
  TRIM,
  CORRESPOND,
  BUNDLE,
  COMPLETION,
];
