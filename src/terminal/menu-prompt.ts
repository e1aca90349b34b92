/** A screen with text to read and keys to press; where the window is too small for the text, it can be moved. */
import type { KeypressEvent } from '@inquirer/core';
import type { World } from './world.js';

/** What is shown and which keys are taken. */
export interface Menu {
  /** What is read, in lines that fit the window. */
  readonly body: readonly string[];
  /** What the keys do, in lines that fit the window. */
  readonly legend: readonly string[];
  /** The line that the cursor stands in. */
  readonly line: string;
  /** The small letters that are taken; capitals are the same. */
  readonly keys: readonly string[];
  /** What is said of the last key, in lines. */
  readonly remark: readonly string[];
  /** What is said of a key that does nothing. */
  unknown(sign: string): readonly string[];
  /** Which lines of the body are shown, where not all are. */
  part(first: number, last: number, all: number): string;
}

/** What was pressed. */
export type MenuChoice =
  | { readonly kind: 'key'; readonly key: string }
  | { readonly kind: 'back' | 'next' | 'leave' | 'redraw' };

type Press = KeypressEvent & { readonly sequence?: string; readonly meta?: boolean };

interface MenuState {
  /** The first line of the body that is shown. */
  readonly top: number;
  readonly remark: readonly string[];
}

/** How many lines of a body are shown, when so many others stand below it. */
function roomFor(menu: Menu, remark: readonly string[], rows: number): number {
  const others = menu.legend.length + 1 + Math.max(remark.length, 1);
  const room = rows - others;
  // One more line says that there is more.
  return menu.body.length <= room ? menu.body.length : Math.max(1, room - 1);
}

/** What a key means: a choice, or another state. Pure, so that it can be tested without a terminal. */
export function onMenuKey(key: Press, menu: Menu, state: MenuState, room: number): MenuChoice | MenuState {
  if (key.ctrl && key.name === 'l') return { kind: 'redraw' };
  if (key.ctrl && key.name === 'd') return { kind: 'leave' };
  if (key.ctrl || key.meta === true) return state;
  const last = Math.max(0, menu.body.length - room);
  const moved = (by: number): MenuState => ({
    top: Math.max(0, Math.min(last, state.top + by)),
    remark: [],
  });
  switch (key.name) {
    case 'up':
      return moved(-1);
    case 'down':
      return moved(1);
    case 'pageup':
      return moved(-room);
    case 'pagedown':
    case 'space':
      return moved(room);
    case 'backspace':
    case 'left':
      return { kind: 'back' };
    case 'right':
      return { kind: 'next' };
  }
  const sign = (key.sequence ?? '').toLowerCase();
  if (menu.keys.includes(sign)) return { kind: 'key', key: sign };
  return /^[\p{L}\p{N}?]$/u.test(sign) ? { ...state, remark: menu.unknown(sign) } : state;
}

/** Shows a menu and waits for one of its keys. ^D leaves; ^C throws `ExitPromptError`. */
export async function askMenu(menu: Menu, world: World): Promise<MenuChoice> {
  const { createPrompt, useEffect, useKeypress, useState } = await import('@inquirer/core');
  const prompt = createPrompt<MenuChoice, Menu>((asked, done) => {
    const [state, setState] = useState<MenuState>({ top: 0, remark: asked.remark });
    const room = roomFor(asked, state.remark, world.rows() ?? 24);
    useEffect((rl) => {
      rl.on('close', () => done({ kind: 'leave' }));
      const redraw = () => done({ kind: 'redraw' });
      world.stderr.on('resize', redraw);
      return () => {
        world.stderr.off('resize', redraw);
      };
    }, []);
    useKeypress((key: Press, rl) => {
      rl.clearLine(0);
      const next = onMenuKey(key, asked, state, room);
      if ('kind' in next) done(next);
      else setState(next);
    });
    const { body } = asked;
    const top = Math.min(state.top, Math.max(0, body.length - room));
    const shown = body.slice(top, top + room);
    const more = room < body.length ? [asked.part(top + 1, top + shown.length, body.length)] : [];
    const lines = [...shown, ...more, ...asked.legend, asked.line];
    return [lines.join('\n'), state.remark.length === 0 ? undefined : state.remark.join('\n')] as [
      string,
      string | undefined,
    ];
  });
  return prompt(menu, { input: world.stdin, output: world.stderr, clearPromptOnDone: true });
}
