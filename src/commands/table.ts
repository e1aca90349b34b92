/**
 * Every command, in the order of the help. Adding one: its module beside this file, exporting `action`, an
 * entry in `entries`, and a line here. Modules are loaded when the command is asked for, never before.
 */
import type { CommandEntry } from './command.js';
import { BUNDLE } from './entries/bundle.js';
import { COMPARE } from './entries/compare.js';
import { COMPLETION } from './entries/completion.js';
import { DIFF } from './entries/diff.js';
import { DRAFT } from './entries/draft.js';
import { DRAW } from './entries/draw.js';
import { EXPLAIN } from './entries/explain.js';
import { IDENTIFY } from './entries/identify.js';
import { IMPORT } from './entries/import.js';
import { LINT } from './entries/lint.js';
import { NEW } from './entries/new.js';
import { PRINT } from './entries/print.js';
import { REDO } from './entries/redo.js';
import { REPORT } from './entries/report.js';
import { RUN } from './entries/run.js';
import { SHEET } from './entries/sheet.js';
import { SHOW } from './entries/show.js';
import { TEST } from './entries/test.js';
import { TRIM } from './entries/trim.js';

/** The commands. */
export const COMMANDS: readonly CommandEntry[] = [
  RUN,
  IDENTIFY,
  COMPARE,
  SHEET,
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
  BUNDLE,
  COMPLETION,
];
