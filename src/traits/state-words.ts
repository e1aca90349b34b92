import { normalized } from '../text/normalized.js';
import type { Character, State } from './character.js';

/** The states that a text may name, and by what: the spelling of their ids, or their meaning. */
interface NamedStates {
  readonly way: 'state-spelling' | 'state-wording';
  /** One where the text is clear. */
  readonly states: readonly State[];
}

/**
 * The states that a text names when capitals, spaces, hyphens and underscores do not count: by their ids, else by their whole
 * meaning, else by one of the things that a meaning lists ("rusty brown" of "rusty brown to ochre-brown").
 */
export function statesNamed({ states }: Character, written: string): NamedStates {
  const said = normalized(written);
  const wanted = said.replaceAll(' ', '');
  const byId = states.filter((s) => joined(s.id) === wanted);
  if (byId.length > 0) return { way: 'state-spelling', states: byId };
  const byMeaning = states.filter((s) => joined(s.meaning) === wanted);
  if (byMeaning.length > 0) return { way: 'state-wording', states: byMeaning };
  return { way: 'state-wording', states: states.filter((s) => listedIn(s.meaning).includes(said)) };
}

function joined(text: string): string {
  return normalized(text).replaceAll(' ', '');
}

/**
 * What a meaning lists. One that also says what the state is not, in any of the languages of keys, lists nothing: in "other
 * than white, pink" pink is another state.
 */
function listedIn(meaning: string): string[] {
  const said = normalized(meaning);
  if (DENIES.test(said)) return [];
  return said
    .split(/\s*[,;:()]\s*|\s+(?:or|to)\s+/)
    .map((part) => part.replace(/^(?:an?|the|or|and)\s+/, '').trim())
    .filter((part) => part !== '');
}

const DENIES =
  /(?<!\p{L})(?:not?|never|non|nor|neither|none|without|lacking|wanting|except|excepting|but|than|rather|unlike|instead|nicht|ohne|kein\p{L}*|nie|weder|noch|außer|aber|ne|pas|sans|sauf|jamais|sin|nunca|ni|sem|não|senza|mai|niet|zonder|geen|nooit|ikke|uden|uten|inte|utan|ej|bez|ei)(?!\p{L})/u;
