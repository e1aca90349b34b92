import type { Measures } from '../../analysis/key-measures.js';
import { harmlessJson } from '../../lint/report/result.js';
import type { ShownKey } from './text.js';

/** The version of the shape of the report. */
const SHOW_VERSION = 1;

/** Longer ways are only counted: those of a key that deep, each with all its leads, are more than any program reads. */
const LONGEST_WAY = 200;

/** What a key is like, for programs. Depths are in couplets; figures are not rounded. */
export function showJson({ chain, own, whole }: ShownKey, version: string): string {
  const { main, keys } = chain;
  return harmlessJson({
    version: SHOW_VERSION,
    tool: { name: 'keywright', version },
    key: {
      id: main.id,
      title: main.title,
      version: main.version,
      date: main.date,
      authors: main.authors,
      licence: main.licence,
    },
    scope: main.scope,
    ...measuresJson(own),
    chain: keys
      .filter((k) => k !== main)
      .map((k) => ({ id: k.id, title: k.title, couplets: k.couplets.size })),
    whole: whole === undefined ? undefined : measuresJson(whole),
  });
}

function measuresJson(m: Measures): object {
  const { couplets, leads, polytomies, ends, handOvers, taxa, answers, unreached } = m;
  return {
    size: { couplets, leads, polytomies, ends, handOvers, taxa, answers, unreached },
    depth: m.depth,
    bounds: m.bounds,
    weighted: m.weighted,
    balance: { bitsPerCouplet: m.balance, divisions: m.divisions, longFirst: m.longFirst, ladder: m.ladder },
    reticulation: { index: m.reticulation, joined: m.joined },
    characters: m.characters.map(({ character, ...use }) => ({
      id: character.id,
      name: character.name,
      effort: character.effort,
      ...use,
    })),
    taxa: m.ways.map(({ taxon, ...way }) => ({
      id: taxon.id,
      name: taxon.name,
      concern: taxon.concern.level,
      frequency: taxon.frequency,
      ...way,
      ...(way.couplets > LONGEST_WAY ? {} : { path: way.path(), characters: way.characters() }),
    })),
  };
}
