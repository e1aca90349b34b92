import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { ShellName } from '../../src/commands/completion/shells.js';
import { bin } from '../support/program.js';

/** Whether a shell, and a terminal to run it in, can be had here. */
export function there(shell: ShellName): boolean {
  return [shell, 'script'].every((name) => spawnSync(name, ['--version']).status === 0);
}

/** What each shell does first: the script read, and ^T writes the line as it stands into the file `lines`. */
const SETTINGS: Record<ShellName, { readonly start: string; readonly file: string; readonly text: string }> =
  {
    bash: {
      start: 'bash --noprofile --rcfile "$SETTINGS/rc" -i',
      file: 'rc',
      text: `source "$SETTINGS/completion"
bind 'set bell-style none' 2>/dev/null
bind -x '"\\C-t": printf "%s\\0" "$READLINE_LINE" >> "$SETTINGS/lines"'
printf '\\0' > "$SETTINGS/lines"
`,
    },
    zsh: {
      start: 'ZDOTDIR="$SETTINGS" zsh -d -i',
      file: '.zshrc',
      text: `autoload -Uz compinit; compinit -u -D
source "$SETTINGS/completion"
shown() { printf '%s\\0' "$BUFFER" >> "$SETTINGS/lines" }
zle -N shown; bindkey -e; bindkey '^T' shown; bindkey '^I' complete-word
printf '\\0' > "$SETTINGS/lines"
`,
    },
    fish: {
      start: 'fish --no-config -i -C "source $SETTINGS/rc.fish"',
      file: 'rc.fish',
      text: `source "$SETTINGS/completion"
function fish_prompt; end
bind \\ct 'printf "%s\\0" (commandline | string collect) >> "$SETTINGS/lines"'
printf '\\0' > "$SETTINGS/lines"
`,
    },
  };

/** The command lines that stand in a shell under a terminal after each of some lots of keys was pressed in a folder. */
export async function typed(shell: ShellName, folder: string, lots: readonly string[]): Promise<string[]> {
  const home = mkdtempSync(join(tmpdir(), 'keywright-shell-'));
  const { start, file, text } = SETTINGS[shell];
  symlinkSync(bin, join(home, 'keywright'));
  writeFileSync(join(home, file), text);
  const PATH = `${home}:${process.env.PATH}`;
  const env = { PATH, HOME: home, SETTINGS: home, TERM: 'xterm', LANG: 'C.UTF-8' };
  writeFileSync(join(home, 'completion'), spawnSync(bin, ['completion', shell], { env }).stdout);
  const child = spawn('script', ['-qefc', `stty cols 200 rows 50; exec env ${start}`, '/dev/null'], {
    cwd: folder,
    env,
    stdio: ['pipe', 'ignore', 'inherit'],
  });
  const ended = new Promise((resolve) => child.on('close', resolve));
  const lines = () =>
    existsSync(join(home, 'lines'))
      ? readFileSync(join(home, 'lines'), 'utf8').split('\0').slice(1, -1)
      : undefined;
  const grown = async (to: number): Promise<void> => {
    for (let i = 0; i < 400 && (lines()?.length ?? -1) < to; i++) await new Promise((r) => setTimeout(r, 50));
  };
  try {
    await grown(0);
    for (const [i, keys] of lots.entries()) {
      child.stdin.write(`${keys}\u0014`);
      await grown(i + 1);
      // ^E ^U: the whole line goes.
      child.stdin.write('\u0005\u0015');
    }
    return lines() ?? [];
  } finally {
    child.stdin.end('exit\n');
    child.kill();
    await ended;
    rmSync(home, { recursive: true, force: true });
  }
}
