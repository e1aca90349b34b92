/** Pictures of dots, read, scaled down and packed as WebP, by the codecs of Squoosh as WebAssembly. */
import decodeJpegModule from '@jsquash/jpeg/codec/dec/mozjpeg_dec.js';
import jpegDecoder from '@jsquash/jpeg/codec/dec/mozjpeg_dec.wasm';
import startPng, { decode as decodePng } from '@jsquash/png/codec/pkg/squoosh_png.js';
import pngDecoder from '@jsquash/png/codec/pkg/squoosh_png_bg.wasm';
import startResizer, { resize } from '@jsquash/resize/lib/resize/pkg/squoosh_resize.js';
import resizer from '@jsquash/resize/lib/resize/pkg/squoosh_resize_bg.wasm';
import decodeWebpModule from '@jsquash/webp/codec/dec/webp_dec.js';
import webpDecoder from '@jsquash/webp/codec/dec/webp_dec.wasm';
import encodeWebpModule from '@jsquash/webp/codec/enc/webp_enc.js';
import webpEncoder from '@jsquash/webp/codec/enc/webp_enc.wasm';
import { defaultOptions } from '@jsquash/webp/meta.js';

/** A picture in memory: four bytes a dot. */
export interface Dots {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8ClampedArray<ArrayBuffer>;
}

/** What can be read; a picture that moves shows its first moment, if at all. */
export type PictureKind = 'jpg' | 'png' | 'webp';

/** Reads pictures and packs them again. */
export interface Scaler {
  /**
   * Reads a picture, turned as its camera was held, scaled down so that its longer side has at most so many dots. Throws for one
   * that is damaged.
   */
  read(kind: PictureKind, bytes: Uint8Array, longest: number): Dots;
  /** A picture as WebP, scaled down in the same way. */
  packed(
    dots: Dots,
    longest: number,
  ): { readonly bytes: Uint8Array; readonly width: number; readonly height: number };
}

/** Good enough for leaves and lines; one more step of quality costs a tenth more bytes. */
const QUALITY = 78;
const LANCZOS = 3;

/** Starts the codecs. */
export async function startScaler(): Promise<Scaler> {
  // The codecs make what they decode an ImageData, which Node does not have.
  const world = globalThis as { ImageData?: unknown };
  world.ImageData ??= PlainImage;
  await startPng(new WebAssembly.Module(pngDecoder));
  await startResizer(new WebAssembly.Module(resizer));
  const jpeg = await decodeJpegModule(startedWith(jpegDecoder));
  const webp = await decodeWebpModule(startedWith(webpDecoder));
  const encoder = await encodeWebpModule(startedWith(webpEncoder));
  const decoded = (kind: PictureKind, bytes: Uint8Array): Dots | null => {
    if (kind === 'png') return decodePng(bytes) as Dots;
    // The declarations ask for a buffer, and the codec takes any view of bytes.
    const given = bytes as unknown as ArrayBuffer;
    return (kind === 'jpg' ? jpeg.decode(given, true) : webp.decode(given)) as Dots | null;
  };
  return {
    read: (kind, bytes, longest) => {
      const dots = decoded(kind, bytes);
      if (dots === null) throw new Error('not decoded');
      return scaledDown(dots, longest);
    },
    packed: (dots, longest) => {
      const { data, width, height } = scaledDown(dots, longest);
      const bytes = encoder.encode(data as never, width, height, { ...defaultOptions, quality: QUALITY });
      if (bytes === null) throw new Error('not encoded');
      // What the codec gives lies in its own memory, which the next picture overwrites.
      return { bytes: Uint8Array.from(bytes as Uint8Array), width, height };
    },
  };
}

function scaledDown(dots: Dots, longest: number): Dots {
  const scale = longest / Math.max(dots.width, dots.height);
  if (scale >= 1) return dots;
  const [width, height] = [dots.width, dots.height].map((n) => Math.max(1, Math.round(n * scale)));
  const { buffer, byteOffset, byteLength } = dots.data;
  const given = new Uint8Array(buffer, byteOffset, byteLength);
  const data = resize(given, dots.width, dots.height, width ?? 1, height ?? 1, LANCZOS, true, true);
  return { width: width ?? 1, height: height ?? 1, data: data as Uint8ClampedArray<ArrayBuffer> };
}

class PlainImage implements Dots {
  constructor(
    readonly data: Uint8ClampedArray<ArrayBuffer>,
    readonly width: number,
    readonly height: number,
  ) {}
}

/** How a codec is started from bytes that are there, without asking for a file, and without words on stderr. */
function startedWith(bytes: Uint8Array<ArrayBuffer>): object {
  const module = new WebAssembly.Module(bytes);
  return {
    noInitialRun: true,
    print: () => undefined,
    printErr: () => undefined,
    instantiateWasm: (imports: WebAssembly.Imports, done: (instance: WebAssembly.Instance) => void) => {
      const instance = new WebAssembly.Instance(module, imports);
      done(instance);
      return instance.exports;
    },
  };
}
