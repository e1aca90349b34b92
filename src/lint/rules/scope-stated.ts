import { listed } from '../../text/words.js';
import { example } from '../example.js';
import { rule } from '../rule.js';
import { writtenAt } from '../written.js';

export const scopeStated = rule({
  id: 'scope-stated',
  group: 'scope',
  level: 'warning',
  what: 'The key says which group and which regions it is made for.',
  why: 'Used outside its scope, a key still returns a name; only the scope lets a reader, and this program, notice.',
  source:
    'M. Donley, Creating a dichotomous key (school handout), points 1 and 5; University of Aberdeen, How to construct dichotomous keys',
  fix: 'Add `scope` with `group` and `regions`; add `months` and `stages` where the key cannot be used all year or at every age.',
  good: example(`
scope: {group: capped fungi, regions: [GB-CMA]}
`),
  bad: example(`
scope: {group: capped fungi} #! scope-stated
`),
  check({ key, report }) {
    const missing = [
      ...(key.scope.group === undefined ? ['the group it is for'] : []),
      ...(key.scope.regions.length === 0 ? ['the regions it is for'] : []),
    ];
    if (missing.length === 0) return;
    const path = writtenAt(key, ['scope']) !== undefined ? ['scope'] : ['title'];
    report(path, {
      side: 'name',
      message: `the key does not say ${listed(missing)}`,
      expected: key.scope.group === undefined ? 'scope: {group: ..., regions: [...]}' : 'regions: [...]',
    });
  },
});
