/** For each byte, its share in a sum: the polynomial of ISO 3309, reflected, as zip archives have it (APPNOTE 4.4.7). */
const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let sum = byte;
  for (let bit = 0; bit < 8; bit++) sum = (sum & 1) === 1 ? (sum >>> 1) ^ 0xedb88320 : sum >>> 1;
  return sum;
});

/** The checksum of bytes as zip archives have it. `before` is that of the bytes that stand before these. */
export function crc32(bytes: Uint8Array, before = 0): number {
  let sum = ~before;
  for (const byte of bytes) sum = (sum >>> 8) ^ (TABLE[(sum ^ byte) & 0xff] as number);
  return ~sum >>> 0;
}
