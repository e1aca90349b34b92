import { example } from '../example.js';
import { coupletPlace } from '../places.js';
import { rule } from '../rule.js';

export const orderForward = rule({
  id: 'order-forward',
  group: 'structure',
  level: 'note',
  what: 'Couplets are in the order of their numbers.',
  why: 'A reader sent to couplet 12 turns the pages until the numbers pass 12. A lead that points back does not count against the key: printed keys have them where branches join (see `pointer-forward`).',
  source: 'common practice, no source',
  fix: 'Move the couplet to its place, or renumber. `--fix` can do both.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, to: 3}
    - {lead: Ring absent, to: 4}
  3:
    - {lead: Ring white, taxon: aa}
    - {lead: Ring brown, taxon: bb}
  4:
    - {lead: Cap red, taxon: cc}
    - {lead: Cap brown, to: 3}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, to: 3}
    - {lead: Ring absent, to: 2}
  3:
    - {lead: Ring white, taxon: aa}
    - {lead: Ring brown, taxon: bb}
  2: #! order-forward
    - {lead: Cap red, taxon: cc}
    - {lead: Cap brown, taxon: aa}
taxa:
  aa: {name: Aa aa, repeats: meant}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
  check({ key, report }) {
    /** By what comes before the number (`A` in `A12`), the highest so far. */
    const highest = new Map<string, { id: string; parts: readonly number[] }>();
    for (const id of key.couplets.keys()) {
      const read = /^(\D*)(\d+(?:\.\d+)*)([A-Za-z]?)$/.exec(id);
      if (read === null) continue;
      const [, series = '', digits = '', letter = ''] = read;
      const parts = [
        ...digits.split('.').map(Number),
        letter === '' ? 0 : letter.toLowerCase().charCodeAt(0),
      ];
      const last = highest.get(series);
      if (last === undefined || after(parts, last.parts)) highest.set(series, { id, parts });
      else
        report(['couplets', id], {
          side: 'name',
          message: `couplet ${id} comes after couplet ${last.id}`,
          related: [coupletPlace(key, last.id)],
        });
    }
  },
});

function after(a: readonly number[], b: readonly number[]): boolean {
  for (let i = 0; i < Math.max(a.length, b.length); i++) {
    const difference = (a[i] ?? 0) - (b[i] ?? 0);
    if (difference !== 0) return difference > 0;
  }
  return false;
}
