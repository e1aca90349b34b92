import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach } from 'vitest';
import type { FakeOptions } from './fake-world.js';
import { inProcess } from './in-process.js';
import { OTHER, PEBBLES } from './pebbles.js';

let folder = '';

/** Gives each test of a file a folder of its own, with an empty folder `keys` in it. */
export function withKeyFolder(): void {
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'keywright-authoring-'));
    mkdirSync(join(folder, 'keys'));
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));
}

export const inFolder = (name = '') => join(folder, name);
export const write = (name: string, text: string) => writeFileSync(inFolder(name), text);
export const read = (name: string) => readFileSync(inFolder(name), 'utf8');
export const filesIn = (name = '') => readdirSync(inFolder(name)).sort();

/** Runs the program there, in this process. */
export async function keywright(args: string[], options: FakeOptions = {}) {
  return inProcess(args, { cwd: folder, ...options });
}

/** Writes the two keys of the beach. */
export function beach(): void {
  write('keys/pebbles.key.yaml', PEBBLES);
  write('keys/other.key.yaml', OTHER);
}
