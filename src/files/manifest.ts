/** The manifest of a bundle: what is in it, and the checksums that reveal a changed file. */
import { createHash } from 'node:crypto';
import { readJson } from '../key/json.js';
import { quoted } from '../text/harmless.js';

/** The manifest's name in a bundle. */
export const MANIFEST = 'manifest.json';
/** The ending of the names of bundle files. */
export const BUNDLE_ENDING = '.keywright.zip';

const KINDS = ['key', 'terms', 'figure', 'licence', 'authors', 'read-me'] as const;
/** What a file of a bundle is. */
export type BundledKind = (typeof KINDS)[number];

/** One file of a bundle. */
export interface ManifestFile {
  /** Its path within the bundle, with `/` between folders. */
  readonly name: string;
  readonly kind: BundledKind;
  readonly size: number;
  /** SHA-256 of its bytes, in lower-case hexadecimal. */
  readonly sha256: string;
}

/** What a bundle says of itself: the order of the properties is part of the format. */
export interface Manifest {
  readonly 'keywright-bundle': 1;
  readonly 'made-by': string;
  /** The key that the bundle is opened as. */
  readonly key: {
    readonly id: string;
    readonly title: string;
    readonly version: string;
    readonly date?: string;
    readonly file: string;
  };
  /** Every other file of the bundle, by name. */
  readonly files: readonly ManifestFile[];
}

type ReadManifest =
  | { readonly ok: true; readonly manifest: Manifest }
  | { readonly ok: false; readonly problem: string };

/** The SHA-256 of some bytes. */
export function sha256(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}

/** A manifest as it is written. */
export function manifestText(manifest: Manifest): string {
  return `${JSON.stringify(manifest, null, 2)}\n`;
}

/** Reads the text of a manifest; says in words what is wrong with it. */
export function readManifest(text: string): ReadManifest {
  const read = readJson(text);
  if (!read.ok && read.fault === 'twice') return damaged(read.message);
  if (!read.ok) return { ok: false, problem: `its ${MANIFEST} is not JSON` };
  const data: unknown = read.data;
  const version = propertyOf(data, 'keywright-bundle');
  if (version !== 1)
    return {
      ok: false,
      problem:
        typeof version === 'number'
          ? `it is a bundle of format ${version}, and only format 1 is known here; a newer keywright may open it`
          : `its ${MANIFEST} is not that of a bundle of keys`,
    };
  const key = propertyOf(data, 'key');
  const files = propertyOf(data, 'files');
  const main = propertyOf(key, 'file');
  if (typeof main !== 'string' || !Array.isArray(files))
    return damaged('the key or the list of files is missing');
  const names = new Set<string>();
  for (const file of files as unknown[]) {
    const [name, kind, size, sum] = [
      propertyOf(file, 'name'),
      propertyOf(file, 'kind'),
      propertyOf(file, 'size'),
      propertyOf(file, 'sha256'),
    ];
    if (typeof name !== 'string' || name === '') return damaged('a file has no name');
    if (!KINDS.some((k) => k === kind)) return damaged(`it does not say what ${quoted(name)} is`);
    if (!Number.isSafeInteger(size) || (size as number) < 0 || !/^[0-9a-f]{64}$/.test(String(sum)))
      return damaged(`${quoted(name)} lacks its size or checksum`);
    if (names.has(name)) return damaged(`${quoted(name)} is listed twice`);
    names.add(name);
  }
  const manifest = data as Manifest;
  return manifest.files.some((f) => f.name === main && f.kind === 'key')
    ? { ok: true, manifest }
    : damaged(`its key ${quoted(main)} is not among its files`);
}

function damaged(why: string): ReadManifest {
  return { ok: false, problem: `its ${MANIFEST} is damaged: ${why}` };
}

function propertyOf(data: unknown, name: string): unknown {
  return typeof data === 'object' && data !== null && Object.hasOwn(data, name)
    ? (data as Record<string, unknown>)[name]
    : undefined;
}
