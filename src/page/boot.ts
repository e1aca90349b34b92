import { inflateSync } from 'fflate';
import { fromBase91 } from './base91.js';

/**
 * Unpacks the style, the key and the program of the page and starts it. Unpacked, the program would be three times as large.
 * The content security policy names program and style by their hashes, so nothing else can be started.
 */
async function start(): Promise<void> {
  const [style, program, key] = await Promise.all([
    unpacked('style').text(),
    unpacked('program').text(),
    unpacked('key').json(),
  ]);
  globalThis.unpackedKey = key;
  add('style', style, document.head);
  add('script', program, document.body);
}

function add(name: 'style' | 'script', text: string, where: HTMLElement): void {
  const element = document.createElement(name);
  element.textContent = text;
  where.append(element);
}

/** What was packed in an element. What is not just what was packed fails: a key in which one sign is wrong may lead astray. */
function unpacked(id: string): Response {
  const element = document.getElementById(id);
  // The signs of the last byte may hold a further one.
  const bytes = fromBase91(element?.textContent ?? '').subarray(0, Number(element?.dataset.bytes));
  let inflating: DecompressionStream;
  try {
    inflating = new DecompressionStream('deflate');
  } catch {
    // Firefox of before May 2023 cannot unpack by itself, which takes a fifth of the time.
    return new Response(inflated(bytes) as BodyInit);
  }
  const into = inflating.writable.getWriter();
  // What is wrong with the bytes is wrong with what is read.
  const nothing = () => undefined;
  into.write(bytes as BufferSource).catch(nothing);
  into.close().catch(nothing);
  return new Response(inflating.readable);
}

/** Inflates and, as a browser does by itself, throws where the sum behind the bytes (Adler-32, RFC 1950) is of something else. */
function inflated(bytes: Uint8Array): Uint8Array {
  const out = inflateSync(bytes.subarray(2, -4));
  let [a, b] = [1, 0];
  for (const byte of out) {
    a = (a + byte) % 65521;
    b = (b + a) % 65521;
  }
  if (b * 65536 + a !== bytes.slice(-4).reduce((high, byte) => high * 256 + byte, 0)) throw new Error();
  return out;
}

// What is older than the program, or was damaged on its way, stops here: the page says so, in words that it holds unpacked.
function failed(): void {
  const said = document.getElementById('failed');
  if (said !== null) said.hidden = false;
}
addEventListener('error', failed);
start().catch(failed);
