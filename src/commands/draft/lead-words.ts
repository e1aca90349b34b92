import type { WhyTogether } from './together.js';

/** The words of each language in which a draft is written; what is done with them stands elsewhere. `{}` stands for a value. */

/** The small words of a language, and how its names of characters are made. */
export interface LeadWords {
  readonly or: string;
  readonly and: string;
  readonly under: string;
  readonly orMore: string;
  readonly orFewer: string;
  /** `colour of the cap`: what is looked at, and the part it belongs to. */
  readonly of: RegExp;
  /** What goes without saying when the part and its state are named: `cap red`. */
  readonly implied: RegExp;
  /** What stands between the part and what is looked at of it. */
  readonly between: string;
  /** Parts of several words that cannot be put first: `hairs on the stem`. */
  readonly longPart: RegExp;
  /** Endings that a part has only in names such as these; the first that is found is left out where it stands first. */
  readonly cases: { readonly names: RegExp; readonly endings: readonly RegExp[] } | undefined;
  /** Names that are no noun: `how the gills meet the stem`. */
  readonly question: RegExp;
  /** Words in a meaning that make a phrase of several of them hard to read. */
  readonly joined: RegExp;
  readonly decimalComma: boolean;
  /** What is said beside taxa that end together. */
  readonly together: Readonly<Record<WhyTogether, string>>;
  /** `3 taxa`, for one and for several. */
  readonly taxa: readonly [one: string, many: string];
  /** `2 of them on more than one side`. */
  readonly onSeveral: string;
  /** The first line of a key: the table, and the version of the program. */
  readonly draftedFrom: string;
  /** The title of a key that has no other: the group, and the table. */
  readonly title: string;
  readonly theTaxa: string;
  readonly titleOf: string;
  /** The table as a source of the key. */
  readonly table: string;
  /** Why a harmful taxon is separated by one weak character. */
  readonly noSecond: string;
}

const english: LeadWords = {
  or: 'or',
  and: 'and',
  under: 'under {}',
  orMore: '{} or more',
  orFewer: '{} or fewer',
  of: /^(.+?) of (?:the |an? )?(.+)$/i,
  implied: /^(?:colou?r|number|count|presence)$/i,
  between: ' ',
  longPart: /\b(?:of|on|in|at|to|from|with|between|below|above)\b/i,
  cases: undefined,
  question: /^(?:how|what|where|whether|which|when|is|are|does|do|has|have)\b/i,
  joined: /,|;|\b(?:or|and|with|without)\b/i,
  decimalComma: false,
  together: {
    alike: 'nothing that is described and can be asked here tells these apart',
    gap: 'what could tell these apart is not described of all of them',
    size: 'these are described as different, but were left together to keep the key short',
    few: 'what still tells these apart would settle hardly any find, and is not asked',
    harm: 'these are left together because one misread character would hide a harmful taxon if they were separated',
  },
  taxa: ['taxon', 'taxa'],
  onSeveral: '{} of them on more than one side',
  draftedFrom:
    'Drafted from {table} by keywright {version}: a proposal to be read and tried, not a finished key.',
  title: 'Key to {}',
  theTaxa: 'the taxa',
  titleOf: ' of {}',
  table: 'table of taxa',
  noSecond: 'no second character that is asked here keeps them apart',
};

const german: LeadWords = {
  or: 'oder',
  and: 'und',
  under: 'unter {}',
  orMore: '{} oder mehr',
  orFewer: '{} oder weniger',
  of: /^(.+?) (?:der|des) (.+)$/i,
  implied: /^(?:farbe|färbung|zahl|anzahl|vorhandensein)$/i,
  // A compound (`Hutbreite`) cannot be made by rule; the part stands before a colon.
  between: ': ',
  // An adjective would have to change its ending.
  longPart: /\s/,
  // The genitive of nouns (Duden, Die Grammatik: -es after sibilants and mostly in words of one syllable, else -s).
  cases: {
    names: /\bdes\b/i,
    endings: [
      /(?<=(?:auge|ende|gewebe|gehäuse|gefüge|gelege|erbe))s$/iu,
      /(?<=(?:ei|au|.{2}[^aeiouäöü]))es$/iu,
      /(?<=[^s])s$/iu,
    ],
  },
  question: /^(?:wie|was|wo|ob|welche[rsnm]?|wann|ist|sind|hat|haben)\b/i,
  joined: /,|;|\b(?:oder|und|mit|ohne)\b/i,
  decimalComma: true,
  together: {
    alike: 'nichts, was beschrieben ist und hier gefragt werden kann, trennt diese',
    gap: 'was diese trennen könnte, ist nicht bei allen beschrieben',
    size: 'diese sind verschieden beschrieben, bleiben aber beisammen, damit der Schlüssel kurz bleibt',
    few: 'was diese noch trennt, würde kaum einen Fund entscheiden, und wird nicht gefragt',
    harm: 'diese bleiben beisammen, weil sonst ein einziges falsch gelesenes Merkmal ein schädliches Taxon verbergen würde',
  },
  taxa: ['Taxon', 'Taxa'],
  onSeveral: '{} davon auf mehr als einer Seite',
  draftedFrom:
    'Entworfen aus {table} von keywright {version}: ein Vorschlag, der zu lesen und zu erproben ist, kein fertiger Schlüssel.',
  title: 'Schlüssel für {}',
  theTaxa: 'die Taxa',
  titleOf: ' aus {}',
  table: 'Tabelle der Taxa',
  noSecond: 'kein zweites Merkmal, das hier gefragt wird, hält sie auseinander',
};

/** For other languages: signs in place of the words of leads; what is said beside them is English. */
const signs: LeadWords = {
  ...english,
  or: '/',
  under: '< {}',
  orMore: '>= {}',
  orFewer: '<= {}',
  of: /^$/,
  implied: /^$/,
  question: /^$/,
  joined: /[,;]/,
};

/** States that say only whether a part is there, in these languages. */
export const PRESENT = /^(?:present|absent|vorhanden|fehlend)$/i;

/** Every set of words, so that a text of a draft is known again in whatever language it was written. */
export const allLeadWords: readonly LeadWords[] = [english, german];

/** The words for a language tag; without one, English. */
export function leadWordsOf(language: string | undefined): LeadWords {
  const [tag] = (language ?? 'en').toLowerCase().split('-');
  return tag === 'en' ? english : tag === 'de' ? german : signs;
}

/** A phrase with its values in their places. */
export function filled(phrase: string, values: Readonly<Record<string, string>> | string): string {
  return phrase.replace(/\{(\w*)\}/g, (_, name: string) =>
    typeof values === 'string' ? values : (values[name] ?? ''),
  );
}
