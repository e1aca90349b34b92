import { createHash } from 'node:crypto';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { unzipSync, type Zippable, zipSync } from 'fflate';
import { afterAll } from 'vitest';
import { inProcess, type Said } from '../support/in-process.js';
import { program as runProgram } from '../support/program.js';

export { root } from '../support/program.js';

/** A folder of its own for a test, with some files in it. */
export function folder(files: Readonly<Record<string, string | Uint8Array>> = {}): string {
  const path = mkdtempSync(join(tmpdir(), 'keywright-bundle-'));
  made.push(path);
  for (const [name, content] of Object.entries(files)) {
    mkdirSync(dirname(join(path, name)), { recursive: true });
    writeFileSync(join(path, name), content);
  }
  return path;
}
const made: string[] = [];
afterAll(() => {
  for (const path of made) rmSync(path, { recursive: true, force: true });
});

/** Runs a command in this process. */
export function keywright(cwd: string, argv: readonly string[], stdin?: string): Promise<Said> {
  return inProcess(argv, { cwd, stdin });
}

/** Runs the program itself. */
export function program(cwd: string, args: readonly string[], env: Record<string, string> = {}) {
  return runProgram(args, { cwd, env });
}

export const text = (bytes: Uint8Array | undefined): string => Buffer.from(bytes ?? []).toString('utf8');

/** The files of an archive, by name. */
export function unzipped(bytes: Uint8Array): Record<string, string> {
  return Object.fromEntries(Object.entries(unzipSync(bytes)).map(([name, b]) => [name, text(b)]));
}

const sha = (content: string) => createHash('sha256').update(content).digest('hex');

/** A manifest that is right for these files; the first one is the key. */
export function manifestFor(files: Readonly<Record<string, string>>): Record<string, unknown> {
  return {
    'keywright-bundle': 1,
    'made-by': 'a test',
    key: { id: 'small', title: 'Small', version: '1', file: Object.keys(files)[0] },
    files: Object.entries(files).map(([name, content]) => ({
      name,
      kind: name.endsWith('.terms.yaml') ? 'terms' : name.endsWith('.yaml') ? 'key' : 'figure',
      size: Buffer.byteLength(content),
      sha256: sha(content),
    })),
  };
}

/** An archive with these files as they are, whatever they are called. */
export function zipped(files: Readonly<Record<string, string | Uint8Array>>): Uint8Array {
  const all: Zippable = {};
  for (const [name, content] of Object.entries(files))
    all[name] = typeof content === 'string' ? Buffer.from(content) : content;
  return zipSync(all);
}

/** A bundle of these files, with a manifest that is right but for what `change` does to it. */
export function bundled(
  files: Readonly<Record<string, string>>,
  change: (manifest: Record<string, unknown>) => unknown = (m) => m,
): Uint8Array {
  return zipped({ 'manifest.json': JSON.stringify(change(manifestFor(files))), ...files });
}

/** A sound key of two taxa. */
export const SMALL = `keywright: 1
id: small
title: A small key
version: 1.0.0
date: 2026-11-25
licence: MIT
authors: [Tarn Hollow recorders]
sources: {notes: {cite: written for a test}}
scope: {group: invented, regions: [GB-CMA], months: [9], stages: [mature]}
characters:
  ring: {name: ring, states: [present, absent]}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
taxa:
  aa: {name: Aa aa, concern: {level: unknown}}
  bb: {name: Bb bb, concern: {level: unknown}}
`;
