import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { readFileSync, readlinkSync } from 'node:fs';
import xterm from '@xterm/headless';
import { bin } from './program.js';

/** The window of a pseudo-terminal, and what the program finds around it. */
export interface Window {
  readonly columns: number;
  readonly rows: number;
  readonly cwd: string;
  readonly env?: Readonly<Record<string, string>>;
  /** A file that stdout goes to; everything else stays at the terminal. */
  readonly stdout?: string;
  /** A file that gets the exit code, also after the window was closed: the signal of that does not reach the program. */
  readonly status?: string;
}

/** keywright under a real pseudo-terminal (made by `script` of util-linux), its screen read by a terminal emulator. */
export class Pty {
  /** Everything that was sent to the terminal. */
  raw = '';
  readonly exit: Promise<number>;
  readonly #child: ChildProcess;
  readonly #terminal: InstanceType<typeof xterm.Terminal>;
  #ended = false;

  constructor(args: readonly string[], window: Window) {
    const { columns, rows, cwd, env = {}, stdout, status } = window;
    this.#terminal = new xterm.Terminal({ cols: columns, rows, scrollback: 2000, allowProposedApi: true });
    const words = [process.execPath, bin, ...args].map((w) => `'${w.replaceAll("'", "'\\''")}'`);
    const command = `stty cols ${columns} rows ${rows}; ${status === undefined ? 'exec ' : "trap '' HUP; "}${words.join(' ')}${stdout === undefined ? '' : ` > ${stdout}`}${status === undefined ? '' : `; echo $? > ${status}`}`;
    this.#child = spawn('script', ['-qefc', command, '/dev/null'], {
      cwd,
      env: {
        PATH: process.env.PATH,
        HOME: process.env.HOME,
        TERM: 'xterm-256color',
        LANG: 'C.UTF-8',
        ...env,
      },
      stdio: ['pipe', 'pipe', 'inherit'],
    });
    this.#child.stdout?.setEncoding('utf8').on('data', (text: string) => {
      this.raw += text;
      this.#terminal.write(text);
    });
    this.exit = new Promise((resolve) => {
      this.#child.on('close', (code) => {
        this.#ended = true;
        resolve(code ?? -1);
      });
    });
  }

  /** The lines of the window as a person sees them. */
  screen(): string[] {
    const { active } = this.#terminal.buffer;
    return this.#read(active.viewportY, this.#terminal.rows);
  }

  /** All lines, those that have left the window among them. */
  scroll(): string[] {
    return this.#read(0, this.#terminal.buffer.active.length);
  }

  /** Lines that were wider than the window, so that the terminal had to break them. */
  overflowing(): string[] {
    const { active } = this.#terminal.buffer;
    return this.scroll().filter((_, y) => active.getLine(y)?.isWrapped === true);
  }

  #read(from: number, count: number): string[] {
    const { active } = this.#terminal.buffer;
    return Array.from({ length: count }, (_, y) => active.getLine(from + y)?.translateToString(true) ?? '');
  }

  /** Waits until the screen shows a text, and gives the screen. */
  async shows(text: string | RegExp, timeout = 15_000): Promise<string[]> {
    const until = Date.now() + timeout;
    for (;;) {
      // What was written is parsed a little later.
      await new Promise<void>((resolve) => this.#terminal.write('', resolve));
      const screen = this.screen();
      const all = screen.join('\n');
      if (typeof text === 'string' ? all.includes(text) : text.test(all)) return screen;
      if (Date.now() > until || this.#ended)
        throw new Error(`the screen never showed ${String(text)}; it shows:\n${all}`);
      await new Promise((resolve) => setTimeout(resolve, 15));
    }
  }

  /** Presses keys. */
  type(keys: string): void {
    this.#child.stdin?.write(keys);
  }

  /**
   * Presses a key and waits for what it should bring about, and until a prompt is drawn: keys that come before that do
   * not count.
   */
  async press(keys: string, text: string | RegExp): Promise<string[]> {
    this.type(keys);
    const until = Date.now() + 15_000;
    for (;;) {
      const screen = await this.shows(text, until - Date.now());
      const { active } = this.#terminal.buffer;
      const line = active.getLine(active.baseY + active.cursorY)?.translateToString(true) ?? '';
      if (PROMPT.test(line) || this.#ended) return screen;
      if (Date.now() > until)
        throw new Error(
          `no prompt came after ${JSON.stringify(keys)}; the screen shows:\n${screen.join('\n')}`,
        );
      await new Promise((resolve) => setTimeout(resolve, 15));
    }
  }

  /** Waits until a prompt stands on the screen that was drawn after so much had been sent to the terminal. */
  async asks(after: number): Promise<string[]> {
    const until = Date.now() + 15_000;
    for (;;) {
      await new Promise<void>((resolve) => this.#terminal.write('', resolve));
      const { active } = this.#terminal.buffer;
      const line = active.getLine(active.baseY + active.cursorY)?.translateToString(true) ?? '';
      // A prompt that was drawn since, not the old one with its cursor moved.
      if (
        /(?:your answer|more to ask)/.test(this.raw.slice(after)) &&
        /(?:your answer|more to ask): ?$/.test(line)
      )
        return this.screen();
      if (Date.now() > until || this.#ended)
        throw new Error(`no prompt came; the screen shows:\n${this.screen().join('\n')}`);
      await new Promise((resolve) => setTimeout(resolve, 15));
    }
  }

  /** Gives the window another size, as a person who drags its corner. */
  resize(columns: number, rows: number): void {
    this.#terminal.resize(columns, rows);
    const { pid } = this.#child;
    const [child = ''] = readFileSync(`/proc/${pid}/task/${pid}/children`, 'utf8').split(' ');
    spawnSync('stty', ['-F', readlinkSync(`/proc/${child}/fd/0`), 'cols', `${columns}`, 'rows', `${rows}`]);
  }

  /** Hangs up, when a test has not seen it end. */
  end(): void {
    if (!this.#ended) this.#child.kill('SIGKILL');
  }

  /** Kills keywright itself (`kill -9`), not the terminal around it. */
  kill(): void {
    const { pid } = this.#child;
    const children = readFileSync(`/proc/${pid}/task/${pid}/children`, 'utf8').trim().split(' ');
    for (const child of children) process.kill(Number(child), 'SIGKILL');
  }
}

/** The line that the cursor stands in when the program waits for a key or a line. */
const PROMPT = /:|Press any key|Enter ends|Enter goes on/;

/** Keys that are no letters. */
export const KEY = {
  up: '\x1b[A',
  down: '\x1b[B',
  left: '\x1b[D',
  enter: '\r',
  backspace: '\x7f',
  escape: '\x1b',
  c: '\x03',
  d: '\x04',
  /** Takes away what stands in the line. */
  u: '\x15',
} as const;
