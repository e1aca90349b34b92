/** The figures of a key for a page: read from beside the key, scaled down into a budget, as addresses that hold them. */
import { createHash } from 'node:crypto';
import { imageSize } from 'image-size';
import type { Path } from '../../diagnostic/finding.js';
import type { Data } from '../../key/document.js';
import { figuresIn } from '../../key/figures.js';
import type { Packed, PageFigure } from '../../page/data.js';
import { quoted } from '../../text/harmless.js';
import { count } from '../../text/words.js';
import type { Dots, PictureKind, Scaler } from './scaling.js';

/** A key or terms file of a page. */
export interface FiguresOf {
  /** Its name, from which the paths of its figures lead. */
  readonly name: string;
  readonly data: Data;
}

/** The bytes of a picture, or why it cannot be used. */
type PictureBytes =
  | { readonly ok: true; readonly bytes: Uint8Array }
  | { readonly ok: false; readonly problem: string };

/** What a page shows as pictures. */
export interface PageFigures {
  /** By the name under which the data of the page have a figure (`renamed`). */
  readonly figures: Readonly<Record<string, PageFigure>>;
  /** What was left out, a sentence each: which figure, and why. */
  readonly leftOut: readonly string[];
  /** The data of a file, in which figures are called as in `figures`: two files may call different pictures the same. */
  renamed(file: string, data: Packed): Packed;
}

/** No drawing of lines needs more; a larger one is a picture of dots in disguise. */
const LARGEST_SVG = 100 * 1024;
/** More dots than cameras of phones take; what would need more memory is not unpacked. */
const MOST_DOTS = 60_000_000;
/** How long the longer side may be, tried in turn until all fits. */
const SIDES = [1200, 1000, 800, 640, 512, 400, 320, 240];

/** A picture that is in use, once for all figures that show it. */
interface Picture {
  readonly file: string;
  readonly kind: PictureKind | 'svg';
  readonly bytes: Uint8Array;
  readonly width: number | undefined;
  readonly height: number | undefined;
  dots?: Dots;
}

/**
 * Takes the figures of the files of a page, as many as fit into `budget` bytes of the page. `bytesOf` reads the picture that
 * a file names. All are scaled alike, as little as the budget allows; where even the smallest size is too much, those of leads
 * are kept before those of taxa and of characters. What is left out is said.
 */
export async function pageFigures(
  files: readonly FiguresOf[],
  budget: number,
  bytesOf: (file: string, figure: string) => PictureBytes,
): Promise<PageFigures> {
  const leftOut: string[] = [];
  const pictures = new Map<string, Picture>();
  /** By file and name of a figure: its name in the page. */
  const names = new Map<string, string>();
  const wanted = files
    .flatMap(({ name, data }) =>
      figuresIn(data).map(({ figure, path }) => ({ from: name, file: figure.file, path })),
    )
    .sort((a, b) => importance(a.path) - importance(b.path));
  for (const { from, file } of wanted) {
    if (names.has(`${from}\0${file}`)) continue;
    const read = pictureIn(file, bytesOf(from, file));
    let name = file;
    for (let n = 2; read.ok && pictures.has(name) && markOf(pictures.get(name)) !== markOf(read.picture); n++)
      name = `${file}#${n}`;
    names.set(`${from}\0${file}`, name);
    if (read.ok) pictures.set(name, read.picture);
    else leftOut.push(`figure ${quoted(file)} of ${quoted(from)} is not in the page: ${read.problem}`);
  }
  const scaler = [...pictures.values()].some((p) => p.kind !== 'svg')
    ? await (await import('./scaling.js')).startScaler()
    : undefined;
  for (const [name, picture] of pictures) {
    if (readDots(picture, scaler)) continue;
    pictures.delete(name);
    leftOut.push(`figure ${quoted(picture.file)} is not in the page: it is damaged`);
  }
  const fitted = fittedInto(pictures, budget, scaler);
  for (const file of fitted.over)
    leftOut.push(
      `figure ${quoted(file)} is not in the page: with it the figures would have more than the ${count(Math.round(budget / 1024), 'kilobyte')} that they may have`,
    );
  return {
    figures: fitted.figures,
    leftOut,
    renamed: (from, data) => renamed(data, (file) => names.get(`${from}\0${file}`) ?? file),
  };
}

/** Pictures of leads help most to answer, then those of taxa. */
function importance([part]: Path): number {
  return part === 'couplets' ? 0 : part === 'taxa' ? 1 : 2;
}

function markOf(picture: Picture | undefined): string {
  return createHash('sha256')
    .update(picture?.bytes ?? '')
    .digest('hex');
}

type ReadPicture =
  | { readonly ok: true; readonly picture: Picture }
  | { readonly ok: false; readonly problem: string };

function pictureIn(file: string, read: PictureBytes): ReadPicture {
  if (!read.ok) return read;
  const { bytes } = read;
  const size = sizeOf(bytes);
  if (size === undefined)
    return { ok: false, problem: 'it is no picture in JPEG, PNG, WebP or SVG, or is damaged' };
  const { type, width, height } = size;
  if (type === 'svg') {
    if (bytes.length > LARGEST_SVG)
      return {
        ok: false,
        problem: `it has ${count(Math.ceil(bytes.length / 1024), 'kilobyte')}, and a drawing in SVG may have ${LARGEST_SVG / 1024}`,
      };
    return { ok: true, picture: { file, kind: 'svg', bytes, width, height } };
  }
  if (type !== 'jpg' && type !== 'png' && type !== 'webp')
    return { ok: false, problem: `it is in ${type}; JPEG, PNG, WebP and SVG are taken` };
  if ((width ?? 0) * (height ?? 0) > MOST_DOTS)
    return { ok: false, problem: `it has ${width} times ${height} dots, more than are unpacked` };
  return { ok: true, picture: { file, kind: type, bytes, width, height } };
}

function sizeOf(bytes: Uint8Array): ReturnType<typeof imageSize> | undefined {
  try {
    return imageSize(bytes);
  } catch {
    return undefined;
  }
}

/** Unpacks a picture of dots; gives whether that could be done. */
function readDots(picture: Picture, scaler: Scaler | undefined): boolean {
  if (picture.kind === 'svg' || scaler === undefined) return true;
  try {
    // No larger than any page shows it, so that memory does not grow with the pictures of a large key.
    picture.dots = scaler.read(picture.kind, picture.bytes, SIDES[0] ?? 0);
    return true;
  } catch {
    return false;
  }
}

/** The largest size at which all pictures fit; where none does, as many as fit at the smallest. */
function fittedInto(
  pictures: ReadonlyMap<string, Picture>,
  budget: number,
  scaler: Scaler | undefined,
): { readonly figures: Record<string, PageFigure>; readonly over: readonly string[] } {
  let figures: Record<string, PageFigure> = {};
  for (const side of SIDES) {
    const last = side === SIDES.at(-1);
    const over: string[] = [];
    let left = budget;
    figures = {};
    for (const [name, picture] of pictures) {
      const figure = asFigure(picture, side, scaler);
      if (figure.source.length > left) {
        over.push(picture.file);
        if (!last) break;
        continue;
      }
      left -= figure.source.length;
      figures[name] = figure;
    }
    if (over.length === 0 || last) return { figures, over };
  }
  return { figures, over: [] };
}

/** A picture as an address that holds it. An `img` of such an address runs no script of a drawing, and fetches nothing for it. */
function asFigure(picture: Picture, side: number, scaler: Scaler | undefined): PageFigure {
  const { dots, bytes } = picture;
  if (dots === undefined || scaler === undefined) {
    const { width, height } = picture;
    return {
      source: addressOf('image/svg+xml', bytes),
      ...(width === undefined || height === undefined ? {} : { width, height }),
    };
  }
  const packed = scaler.packed(dots, side);
  return { source: addressOf('image/webp', packed.bytes), width: packed.width, height: packed.height };
}

function addressOf(type: string, bytes: Uint8Array): string {
  return `data:${type};base64,${Buffer.from(bytes).toString('base64')}`;
}

/** The data with every figure called anew. */
function renamed(data: Packed, name: (file: string) => string, figures = false): Packed {
  if (typeof data !== 'object' || data === null) return data;
  if (Array.isArray(data)) return data.map((item: Packed) => renamed(item, name, figures));
  const items = Object.entries(data).map(([property, value]): [string, Packed] =>
    figures && property === 'file' && typeof value === 'string'
      ? [property, name(value)]
      : [property, renamed(value, name, property === 'figures' && Array.isArray(value))],
  );
  return Object.fromEntries(items);
}
