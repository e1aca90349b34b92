/** Sets of taxa as bits in 32-bit words: a draft asks millions of times how many taxa a lead would take. */
export type Bits = Uint32Array;

/** An empty set for so many members. */
export function noBits(members: number): Bits {
  return new Uint32Array(Math.max(1, Math.ceil(members / 32)));
}

/** The set of all members. */
export function allBits(members: number): Bits {
  const bits = noBits(members);
  for (let i = 0; i < members; i++) addBit(bits, i);
  return bits;
}

export function addBit(bits: Bits, member: number): void {
  const word = member >>> 5;
  bits[word] = (bits[word] as number) | (1 << (member & 31));
}

export function hasBit(bits: Bits, member: number): boolean {
  return ((bits[member >>> 5] as number) & (1 << (member & 31))) !== 0;
}

/** The members of both sets. */
export function both(a: Bits, b: Bits): Bits {
  const out = new Uint32Array(a.length);
  for (let w = 0; w < a.length; w++) out[w] = (a[w] as number) & (b[w] as number);
  return out;
}

/** The members of the first set that are not in the second. */
export function without(a: Bits, b: Bits): Bits {
  const out = new Uint32Array(a.length);
  for (let w = 0; w < a.length; w++) out[w] = (a[w] as number) & ~(b[w] as number);
  return out;
}

/** Takes all members of another set into the first. */
export function join(into: Bits, more: Bits): void {
  for (let w = 0; w < into.length; w++) into[w] = (into[w] as number) | (more[w] as number);
}

/** Whether the sets share a member. */
export function meets(a: Bits, b: Bits): boolean {
  for (let w = 0; w < a.length; w++) if (((a[w] as number) & (b[w] as number)) !== 0) return true;
  return false;
}

export function isEmpty(a: Bits): boolean {
  for (let w = 0; w < a.length; w++) if (a[w] !== 0) return false;
  return true;
}

/** How many members a set has. */
export function size(bits: Bits): number {
  let n = 0;
  for (let w = 0; w < bits.length; w++) {
    let v = bits[w] as number;
    v -= (v >>> 1) & 0x55555555;
    v = (v & 0x33333333) + ((v >>> 2) & 0x33333333);
    n += (((v + (v >>> 4)) & 0x0f0f0f0f) * 0x01010101) >>> 24;
  }
  return n;
}

/** The members, ascending. */
export function members(bits: Bits): number[] {
  const out: number[] = [];
  for (let w = 0; w < bits.length; w++)
    for (let v = bits[w] as number; v !== 0; v &= v - 1) out.push(w * 32 + (31 - Math.clz32(v & -v)));
  return out;
}

/** The sum of the weights of the members. */
export function weigh(bits: Bits, weights: Float64Array): number {
  let sum = 0;
  for (let w = 0; w < bits.length; w++)
    for (let v = bits[w] as number; v !== 0; v &= v - 1)
      sum += weights[w * 32 + (31 - Math.clz32(v & -v))] as number;
  return sum;
}
