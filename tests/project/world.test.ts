import { describe, expect, it } from 'vitest';
import { colourLevel } from '../../src/terminal/world.js';

const terminal = { isTTY: true, getColorDepth: () => 24 };
const pipe = {};

describe('how much colour a stream gets', () => {
  it.each([
    ['a terminal', terminal, {}, 3],
    ['a terminal of 256 colours', { isTTY: true, getColorDepth: () => 8 }, {}, 2],
    ['a terminal of 16 colours', { isTTY: true, getColorDepth: () => 4 }, {}, 1],
    ['a terminal without colour', { isTTY: true, getColorDepth: () => 1 }, {}, 0],
    ['a dumb terminal', terminal, { TERM: 'dumb' }, 0],
    ['a pipe', pipe, { TERM: 'xterm-256color' }, 0],
    ['a terminal, colour refused', terminal, { NO_COLOR: '1' }, 0],
    ['a terminal, colour refused with nothing', terminal, { NO_COLOR: '' }, 3],
    ['a pipe, colour forced', pipe, { FORCE_COLOR: '' }, 1],
    ['a pipe, all colours forced', pipe, { FORCE_COLOR: '3' }, 3],
    ['a terminal, forced to none', terminal, { FORCE_COLOR: '0' }, 0],
    ['forced and refused', pipe, { FORCE_COLOR: '2', NO_COLOR: '1' }, 2],
  ])('%s', (_, stream, env, level) => {
    expect(colourLevel(stream, env)).toBe(level);
  });
});
