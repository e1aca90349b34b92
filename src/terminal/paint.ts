import type { Paint } from '../text/paint.js';
import type { ColourLevel } from './world.js';

/** How text stands out on a stream that takes so many colours. */
export async function paintFor(level: ColourLevel): Promise<Paint> {
  const { Chalk } = await import('chalk');
  const chalk = new Chalk({ level });
  return {
    strong: (text) => chalk.bold(text),
    faint: (text) => chalk.dim(text),
    alarm: (text) => chalk.bold.red(text),
  };
}
