import { cyclicGroups } from '../key/graph.js';
import type { Couplet, Key, Lead } from '../key/key.js';
import { nearest } from '../text/nearest.js';
import { coupletGraph } from './couplet-graph.js';

/** What the leads of a key that end at nothing known may have been meant to end at. */
interface LostEnds {
  /** The leads of which it is not known where they continue or end; those in a circle, too, any of which may be the wrong one. */
  readonly leads: ReadonlySet<Lead>;
  /** Whether one of them may continue at any couplet. */
  readonly couplets: boolean;
  /** Those that may continue at one couplet each; undefined when it is not known how many ways may lead to couplets. */
  readonly ways: readonly Lead[] | undefined;
  /** Whether one of them may end at a taxon. */
  mayName(taxon: string): boolean;
}

const known = new WeakMap<Key, LostEnds>();

/** The leads of a key whose end is missing, doubtful or not there; what follows from that alone is not to be told. */
export function lostEnds(key: Key): LostEnds {
  let lost = known.get(key);
  if (lost === undefined) {
    lost = lostEndsOf(key);
    known.set(key, lost);
  }
  return lost;
}

function lostEndsOf(key: Key): LostEnds {
  const leads = [...key.couplets.values()].flatMap((c) => c.leads);
  const nowhere = leads.filter(({ end }) => end.kind === 'taxa' && end.taxa.length === 0);
  const gone = leads.filter(({ end }) => end.kind === 'couplet' && !key.couplets.has(end.couplet));
  const circling = inCircles(key);
  const ids = [...key.taxa.keys()];
  const unknownIn = ({ end }: Lead) => (end.kind === 'taxa' ? end.taxa.filter((t) => !key.taxa.has(t)) : []);
  const misspelt = leads.flatMap(unknownIn);
  // A word that is near to one taxon was meant for it; one that is near to none may have been meant for any.
  const meant = new Set(misspelt.map((word) => nearest(word, ids)));
  const any = nowhere.length > 0 || circling.length > 0 || key.unknown?.holders === true;
  const uncounted = circling.length > 0 || key.unknown?.ways === true || key.unknown?.start === true;
  return {
    ways: uncounted ? undefined : [...nowhere, ...gone],
    leads: new Set([...nowhere, ...gone, ...circling, ...leads.filter((l) => unknownIn(l).length > 0)]),
    couplets: nowhere.length > 0 || gone.length > 0 || uncounted,
    mayName: (taxon) => any || key.unknown?.ways === true || meant.has(undefined) || meant.has(taxon),
  };
}

/** The leads that lie on circles of the key. */
function inCircles(key: Key): Lead[] {
  const { couplets, index, next } = coupletGraph(key);
  return cyclicGroups(next).flatMap((group) => {
    const within = new Set(group);
    return group.flatMap((c) =>
      (couplets[c] as Couplet).leads.filter(
        ({ end }) => end.kind === 'couplet' && within.has(index.get(end.couplet) ?? -1),
      ),
    );
  });
}
