/** Figures of a page: read, scaled into a budget, and what is left out. */
import { crc32, deflateSync } from 'node:zlib';
import encodeJpegModule from '@jsquash/jpeg/codec/enc/mozjpeg_enc.js';
import jpegEncoder from '@jsquash/jpeg/codec/enc/mozjpeg_enc.wasm';
import { defaultOptions } from '@jsquash/jpeg/meta.js';
import { imageSize } from 'image-size';
import { beforeAll, describe, expect, it } from 'vitest';
import { pageFigures } from '../../src/commands/page/figures.js';
import { startScaler } from '../../src/commands/page/scaling.js';
import { readYaml } from '../../src/key/document.js';
import { packed } from '../../src/page/data.js';

/** A picture of stripes and noise, which no codec packs to nothing. */
function dots(width: number, height: number): Uint8ClampedArray<ArrayBuffer> {
  const data = new Uint8ClampedArray(width * height * 4);
  let noise = 7;
  for (let i = 0; i < data.length; i++) {
    noise = (noise * 1103515245 + 12345) % 2147483648;
    data[i] = i % 4 === 3 ? 255 : ((i >> 6) % 3) * 80 + (noise % 60);
  }
  return data;
}

/** A PNG, written by its specification (RGBA, 8 bits, no filter). */
function png(width: number, height: number, shown = dots(width, height)): Uint8Array {
  const rows = Buffer.alloc((width * 4 + 1) * height);
  for (let y = 0; y < height; y++)
    rows.set(shown.subarray(y * width * 4, (y + 1) * width * 4), y * (width * 4 + 1) + 1);
  const chunk = (type: string, data: Buffer) => {
    const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
    const around = Buffer.alloc(8);
    around.writeUInt32BE(data.length, 0);
    around.writeUInt32BE(crc32(body), 4);
    return Buffer.concat([around.subarray(0, 4), body, around.subarray(4)]);
  };
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head.set([8, 6, 0, 0, 0], 8);
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk('IHDR', head),
    chunk('IDAT', deflateSync(rows)),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

const SVG =
  '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 20"><script>alert(1)</script><image href="https://example.org/x.png"/></svg>';
const pictures = new Map<string, Uint8Array>();
beforeAll(async () => {
  const module = new WebAssembly.Module(jpegEncoder);
  const encoder = await encodeJpegModule({
    noInitialRun: true,
    instantiateWasm: (imports: WebAssembly.Imports, done: (instance: WebAssembly.Instance) => void) => {
      const instance = new WebAssembly.Instance(module, imports);
      done(instance);
      return instance.exports;
    },
  } as never);
  const jpeg = encoder.encode(dots(300, 200) as never, 300, 200, defaultOptions) as Uint8Array;
  const scaler = await startScaler();
  const read = scaler.read('png', png(60, 90), 1000);
  pictures.set('ring.jpg', Uint8Array.from(jpeg));
  pictures.set('cap.png', png(400, 100));
  pictures.set('gills.webp', scaler.packed(read, 1000).bytes);
  pictures.set('stem.svg', Buffer.from(SVG));
});

const KEY = (more = '') => `characters:
  ring: {name: ring, states: [present, absent], figures: [{file: stem.svg, caption: Stem}]}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa, figures: [{file: ring.jpg, caption: Ring, by: me}]}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb, figures: [{file: cap.png, caption: Cap}]}
taxa:
  aa: {name: Aa, figures: [{file: gills.webp, caption: Gills}${more}]}
`;

function figuresOf(budget: number, more = '', files: ReadonlyMap<string, Uint8Array> = pictures) {
  const { data } = readYaml(KEY(more), 'a.key.yaml');
  return pageFigures([{ name: 'a.key.yaml', data: data ?? null }], budget, (_, file) => {
    const bytes = files.get(file);
    return bytes === undefined ? { ok: false, problem: 'there is no such file' } : { ok: true, bytes };
  });
}

const bytesOf = (source = '') => Buffer.from(source.slice(source.indexOf(',') + 1), 'base64');

describe('figures of a page', () => {
  it('are read from JPEG, PNG, WebP and SVG, and keep their shape', async () => {
    const { figures, leftOut } = await figuresOf(10_000_000);
    expect(leftOut).toEqual([]);
    const sizes = Object.entries(figures).map(([name, { source, width, height }]) => {
      const { type, ...real } = imageSize(bytesOf(source));
      // What is said of a picture is what it is.
      expect([width, height]).toEqual([real.width, real.height]);
      return [name, source.slice(0, source.indexOf(',')), type, width, height];
    });
    expect(sizes).toEqual([
      ['ring.jpg', 'data:image/webp;base64', 'webp', 300, 200],
      ['cap.png', 'data:image/webp;base64', 'webp', 400, 100],
      ['gills.webp', 'data:image/webp;base64', 'webp', 60, 90],
      ['stem.svg', 'data:image/svg+xml;base64', 'svg', 30, 20],
    ]);
    expect(bytesOf(figures['stem.svg']?.source).toString()).toBe(SVG);
  });

  it('show what they showed: a white picture with a black left half stays one', async () => {
    const half = new Uint8ClampedArray(800 * 400 * 4).map((_, i) =>
      i % 4 === 3 || (i >> 2) % 800 >= 400 ? 255 : 0,
    );
    const { figures } = await figuresOf(30_000, '', new Map([['cap.png', png(800, 400, half)]]));
    const scaler = await startScaler();
    const { width, data } = scaler.read('webp', bytesOf(figures['cap.png']?.source), 4000);
    const at = (x: number, y: number) => data[(y * width + x) * 4] ?? 0;
    expect(at(Math.round(width * 0.2), 20)).toBeLessThan(20);
    expect(at(Math.round(width * 0.8), 20)).toBeGreaterThan(235);
  });

  it('are scaled down into the budget, and where that is not enough those of leads stay', async () => {
    const all = await figuresOf(10_000_000);
    const total = (f: typeof all) =>
      Object.values(f.figures).reduce((sum, { source }) => sum + source.length, 0);
    const large = new Map([...pictures, ['ring.jpg', png(1300, 500)]]);
    const fitted = await figuresOf(60_000, '', large);
    expect(fitted.leftOut).toEqual([]);
    expect(total(fitted)).toBeLessThanOrEqual(60_000);
    expect(fitted.figures['ring.jpg']?.width).toBeLessThan(1200);
    const [lead] = Object.values(fitted.figures);
    const small = await figuresOf(6_000, '', large);
    expect(total(small)).toBeLessThanOrEqual(6_000);
    expect(small.leftOut.length).toBeGreaterThan(0);
    expect(small.leftOut.join('\n')).toMatch(
      /figure "[\w.]+" is not in the page: with it the figures would have more than the 6 kilobytes/,
    );
    expect(lead).toBeDefined();
  });

  it('that cannot be used are left out with a word, and the others stay', async () => {
    const bad = new Map([
      ...pictures,
      ['none.png', Buffer.from('not a picture')],
      ['half.png', png(40, 40).subarray(0, 200)],
      ['large.svg', Buffer.from(SVG.replace('</svg>', `${' '.repeat(120_000)}</svg>`))],
      ['bomb.png', png(1, 1)],
      ['a.gif', Buffer.from('R0lGODlhAQABAIAAAAAAAP///yH5BAEAAAAALAAAAAABAAEAAAIBRAA7', 'base64')],
    ]);
    const bomb = Buffer.from(bad.get('bomb.png') ?? []);
    bomb.writeUInt32BE(60_000, 16);
    bomb.writeUInt32BE(60_000, 20);
    bad.set('bomb.png', bomb);
    const more = ['gone.png', 'none.png', 'half.png', 'large.svg', 'bomb.png', 'a.gif']
      .map((file) => `, {file: ${file}, caption: x}`)
      .join('');
    const { figures, leftOut } = await figuresOf(10_000_000, more, bad);
    expect(Object.keys(figures)).toHaveLength(4);
    const said = leftOut.join('\n');
    for (const [file, why] of [
      ['gone.png', 'there is no such file'],
      ['none.png', 'it is no picture'],
      ['half.png', 'it is damaged'],
      ['large.svg', 'a drawing in SVG may have 100'],
      ['bomb.png', '60000 times 60000 dots'],
      ['a.gif', 'it is in gif'],
    ])
      expect(said).toMatch(new RegExp(`"${file}".*${why}`));
  });

  it('of two files that call different pictures the same stay apart', async () => {
    const text = KEY();
    const data = readYaml(text, 'a.key.yaml').data ?? null;
    const files = [
      { name: 'a.key.yaml', data },
      { name: 'sub/b.key.yaml', data },
    ];
    const { figures, renamed } = await pageFigures(files, 10_000_000, (from, file) => {
      const bytes =
        file === 'cap.png' && from !== 'a.key.yaml' ? png(90, 70) : (pictures.get(file) ?? new Uint8Array());
      return { ok: true, bytes };
    });
    expect(Object.keys(figures)).toEqual(['ring.jpg', 'cap.png', 'cap.png#2', 'gills.webp', 'stem.svg']);
    expect(figures['cap.png#2']).toMatchObject({ width: 90, height: 70 });
    const own = packed(data).data;
    expect(JSON.stringify(renamed('a.key.yaml', own))).toBe(JSON.stringify(own));
    expect(JSON.stringify(renamed('sub/b.key.yaml', own))).toBe(
      JSON.stringify(own).replace('"cap.png"', '"cap.png#2"'),
    );
  });
});
