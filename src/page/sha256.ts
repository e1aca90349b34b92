import { sha256 } from '@noble/hashes/sha2';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils';

/**
 * Stands for `node:crypto` in the page, as far as records need it: browsers have only a digest that is awaited, and the mark
 * of a couplet is asked for in the middle of things.
 */
export function createHash(_name: 'sha256') {
  const hash = sha256.create();
  const self = {
    update(text: string) {
      hash.update(utf8ToBytes(text));
      return self;
    },
    digest: (_form: 'hex') => bytesToHex(hash.digest()),
  };
  return self;
}
