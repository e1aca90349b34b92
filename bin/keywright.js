#!/usr/bin/env node
// Answers `--version` and a lone `--help` itself, starts the program, and alone decides the exit code of the process.
// `process.exit` is never called: it would cut off what a pipe has not taken yet.
// Modules of node are fetched, not imported: that saves 4 ms of every start.
const { closeSync, existsSync, fstatSync, readFileSync, writeSync } = process.getBuiltinModule('node:fs');

const home = new URL('../', import.meta.url);
const argv = process.argv.slice(2);
const { version } = JSON.parse(readFileSync(new URL('package.json', home), 'utf8'));

/** The reader of stdout has gone (`| head`). */
let readerGone = false;
/** Something could not be done; no later success may hide it. */
let fatal = false;
/** The window that the work was shown in was closed; a prompt that hears of it later does not count. */
let terminalGone = false;
/** The program's own code, once it has ended. */
let answer;

const lone = argv.length === 1 ? argv[0] : undefined;
if (lone === '--version' || lone === '-V') showNow(`${version}\n`);
else if (lone === '--help' || lone === '-h' || lone === 'help') showHelp();
else start();

/** Writes past process.stdout, which takes 5 ms to set up. */
function showNow(text) {
  let left = Buffer.from(text);
  try {
    while (left.length > 0) left = left.subarray(writeSync(1, left));
  } catch (error) {
    // A pipe that is full for the moment: what is left can wait in the stream.
    if (error.code === 'EAGAIN') process.stdout.write(left);
    else if (error.code !== 'EPIPE') cannotWrite(error);
  }
}

/** The help, from a file that holds nothing else. Only a terminal has columns to ask for. */
function showHelp() {
  import('../dist/help.js')
    .then(({ helpText }) => {
      showNow(helpText(fstatSync(1).isCharacterDevice() ? process.stdout.columns : undefined));
    })
    .catch(report);
}

function start() {
  let done = false;
  process.on('exit', leaveTerminal);
  process.stdout.on('error', (error) => {
    if (error.code === 'EPIPE') {
      readerGone = true;
      // The program may have ended before it could hear of this.
      if (answer !== undefined) finish(answer);
    } else cannotWrite(error);
  });
  process.stderr.on('error', () => {
    // Nobody is left to tell.
  });
  // The code of a run that ends without an answer, for instance because its input ended at a question.
  process.exitCode = 2;
  process.on('uncaughtException', (error) => {
    done = true;
    report(error);
    // Nothing may keep the process waiting for input now.
    process.stdin.destroy();
  });
  process.on('beforeExit', () => {
    if (done) return;
    done = true;
    if (readerGone) finish(0);
    else refuse('the input ended before the work was done');
  });
  process.getBuiltinModule('node:module').enableCompileCache?.();
  const keys = process.getBuiltinModule('node:url').fileURLToPath(new URL('keys', home));
  import('../dist/main.js')
    .then(({ main, processWorld }) => main(argv, processWorld(version, keys)))
    .then(finish, report)
    .finally(() => {
      done = true;
    });
}

/**
 * Node gives a terminal back as it found it, and aborts where that fails, as it does when the window was closed. Such a
 * terminal is let go first. A command that had asked or shown something there ends as a hang-up does.
 */
function leaveTerminal() {
  for (const fd of [0, 1, 2]) {
    try {
      if (!fstatSync(fd).isCharacterDevice() || process.getBuiltinModule('node:tty').isatty(fd)) continue;
      // Streams go on to say what they were when they were opened.
      const used = (fd === 0 && process.stdin.isTTY) || (fd === 1 && process.stdout.isTTY);
      closeSync(fd);
      if (used) finish(129);
      terminalGone ||= used;
    } catch {
      // Closed already.
    }
  }
}

function finish(code) {
  answer = code;
  if (!fatal && !terminalGone) process.exitCode = readerGone && code !== 2 ? 0 : code;
}

function cannotWrite(error) {
  // A terminal whose window was closed: nobody is left to tell.
  if (error.code === 'EIO' && process.stdout.isTTY) return;
  refuse(`the output cannot be written: ${plain(error)}`);
}

/** `ENOSPC: no space left on device, write` without its code and what was tried. */
function plain(error) {
  return error.message.replace(/^[A-Z]+: /, '').replace(/, \w+( '.*')?$/, '');
}

/** What cannot be done, in one sentence. */
function refuse(sentence) {
  process.stderr.write(`keywright: ${sentence}\n`);
  fatal = true;
  process.exitCode = 2;
}

/** A bug, unless the program was never built, or the terminal that it was to ask is gone. */
function report(error) {
  if (error?.code === 'EIO' && process.stdin.isTTY && !process.getBuiltinModule('node:tty').isatty(0)) return;
  if (error?.code === 'ERR_MODULE_NOT_FOUND' && !existsSync(new URL('dist/main.js', home))) {
    refuse('not built yet (dist/main.js is missing); run `npm install && npm run build` in its folder first');
    return;
  }
  if (typeof error?.syscall === 'string') {
    // Before the program was there to say it better: too many open files, an installation that may not be read.
    refuse(`${error.path ?? 'a file of keywright'} cannot be used: ${plain(error)}`);
    return;
  }
  const message = String(error instanceof Error ? error.message : error).split('\n', 1)[0];
  const hint = argv.includes('--debug') ? '' : '; --debug shows where it happened';
  refuse(
    `unexpected error in version ${version}: ${message} (please report it with the command you gave${hint})`,
  );
  if (argv.includes('--debug')) process.stderr.write(`${error?.stack ?? error}\n`);
}
