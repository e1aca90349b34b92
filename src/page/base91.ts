/**
 * Bytes as printable signs of which each holds 6.5 bits: 13 or 14 bits make two signs. That is a twelfth shorter than base64, and
 * the page is sent by mail. None of the signs means anything in HTML. (The scheme is basE91 by J. Henke, 2000–2006, with another alphabet.)
 */
const SIGNS = Array.from({ length: 94 }, (_, i) => String.fromCharCode(33 + i))
  .filter((sign) => !'<>&'.includes(sign))
  .join('');
const BASE = SIGNS.length;
/** What of 13 bits is left when two signs can hold 14: 91 * 91 - 8192 = 89 values. */
const ROOM = BASE * BASE - 8192;

/** Writes bytes as such signs. */
export function base91(bytes: Uint8Array): string {
  const out: string[] = [];
  let [bits, held] = [0, 0];
  const put = (value: number) => out.push(SIGNS.charAt(value % BASE), SIGNS.charAt(Math.floor(value / BASE)));
  for (const byte of bytes) {
    bits |= byte << held;
    held += 8;
    if (held < 14) continue;
    const low = bits & 8191;
    const wide = low < ROOM ? 14 : 13;
    put(bits & ((1 << wide) - 1));
    bits >>= wide;
    held -= wide;
  }
  if (held > 0) put(bits);
  return out.join('');
}

/** The bytes that were written, with up to one 0 behind them; signs that are none, such as ends of lines, are passed over. */
export function fromBase91(text: string): Uint8Array {
  const values = new Uint8Array(128).fill(BASE);
  for (let i = 0; i < BASE; i++) values[SIGNS.charCodeAt(i)] = i;
  const bytes = new Uint8Array(Math.ceil((text.length * 7) / 8) + 2);
  let [bits, held, at, first] = [0, 0, 0, -1];
  for (let i = 0; i < text.length; i++) {
    const value = values[text.charCodeAt(i)] ?? BASE;
    if (value === BASE) continue;
    if (first < 0) {
      first = value;
      continue;
    }
    const pair = first + value * BASE;
    first = -1;
    bits |= pair << held;
    held += (pair & 8191) < ROOM ? 14 : 13;
    for (; held >= 8; held -= 8) {
      bytes[at++] = bits & 255;
      bits >>= 8;
    }
  }
  return bytes.subarray(0, at);
}
