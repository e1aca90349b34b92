/** How proposed characters are called: the part in the singular, and the question in the language of the key. */
import { ARTICLES } from './trait-words.js';
import { bare } from './word-kinds.js';

export type NameLanguage = 'en' | 'de';

/** The part, where a lead says something of the whole. */
const WHOLE_NAMES = { en: 'whole', de: 'Ganzes' } as const;

/** The questions as the names of characters have them. */
const PROPERTY_NAMES: Readonly<Record<'en' | 'de', Readonly<Record<string, string>>>> = {
  en: { '': '', presence: 'present or absent' },
  de: {
    '': '',
    presence: 'vorhanden oder nicht',
    colour: 'Farbe',
    arrangement: 'Stellung',
    division: 'Teilung',
    margin: 'Rand',
    shape: 'Form',
    tip: 'Spitze',
    profile: 'Wölbung',
    'cross-section': 'Querschnitt',
    hairiness: 'Behaarung',
    smoothness: 'Oberfläche',
    scales: 'Schuppen',
    spines: 'Stacheln',
    glands: 'Drüsen',
    stickiness: 'Klebrigkeit',
    gloss: 'Glanz',
    bloom: 'Reif',
    substance: 'Beschaffenheit',
    firmness: 'Festigkeit',
    lime: 'Kalk',
    posture: 'Haltung',
    size: 'Größe',
    thickness: 'Dicke',
    width: 'Breite',
    length: 'Länge',
    height: 'Höhe',
    depth: 'Tiefe',
    diameter: 'Durchmesser',
    number: 'Anzahl',
    attachment: 'Ansatz',
    fusion: 'Verwachsung',
    clustering: 'Anordnung',
    habit: 'Wuchs',
    habitat: 'Standort',
    position: 'Lage',
    branching: 'Verzweigung',
    cells: 'Fächer',
    seeds: 'Samen',
    nerves: 'Nerven',
    rows: 'Reihen',
    joints: 'Glieder',
    'length by width': 'Länge zu Breite',
    solidity: 'hohl oder voll',
    opening: 'offen oder geschlossen',
    symmetry: 'Ebenmaß',
    duration: 'Dauer',
    scent: 'Geruch',
    taste: 'Geschmack',
    season: 'Zeit',
    kind: 'Art',
    opacity: 'Durchsichtigkeit',
    veining: 'Nervatur',
    layers: 'Schichten',
    fruiting: 'Fruchtform',
    texturing: 'Verlauf',
    jointing: 'Gliederung',
    cleft: 'Spaltung',
    flowers: 'Blüten',
    type: 'Art',
    sex: 'Geschlecht',
  },
};

/** Singulars that no rule gives; shortened words of German floras are written out (common practice, no source). */
const SINGULARS: Readonly<Record<NameLanguage, Readonly<Record<string, string>>>> = {
  en: {
    ...pairs(`leaves leaf, teeth tooth, feet foot, hooves hoof, halves half, axes axis, apices apex, elytra elytron, sori sorus,
      hyphae hypha, ova ovum, calyces calyx, nuclei nucleus, foci focus, loci locus, fungi fungus, stipuli stipulus, genera genus,
      protibiae protibia, ribs rib, species species, series series, genitalia genitalia, lens lens, wings wing, larvae larva`),
  },
  de: {
    ...pairs(`blätter blatt, blätt blatt, bltr blatt, blt blüte, bltn blüte, blüten blüte, früchte frucht, fr frucht, frkn fruchtknoten,
      staubblätter staubblatt, stbblätt staubblatt, blumenblätter blumenblatt, blblätt blumenblatt, kelchblätter kelchblatt,
      kblätt kelchblatt, hüllblätter hüllblatt, hüllblätt hüllblatt, laubblätter laubblatt, grundblätter grundblatt,
      stengelblätter stengelblatt, nebenblätter nebenblatt, nebenblätt nebenblatt, bltnhülle blütenhülle, blkr blumenkrone,
      pfl pflanze, pflanzen pflanze, schoten schote, hülsen hülse, kapseln kapsel, lamellen lamelle, sporen spore, stacheln stachel,
      dornen dorn, haare haar, schuppen schuppe, zipfeln zipfel, fiedern fieder, klappen klappe, zähne zahn, röhren röhre,
      poren pore, flügel flügel, beine bein, fühler fühler, augen auge, zweige zweig, äste ast, knospen knospe, wurzeln wurzel,
      drüsen drüse, nerven nerv, ähren ähre, trauben traube, dolden dolde, köpfe kopf, spelzen spelze, samenknospen samenknospe,
      frhäufchen fruchthäufchen, stiele stiel, griffel griffel, narben narbe, staubfäden staubfaden, antheren anthere, gefäßbündeln
      gefäßbündel, flügeldecken flügeldecke`),
  },
};

function pairs(text: string): Readonly<Record<string, string>> {
  return Object.fromEntries(text.split(',').map((pair) => pair.trim().split(/\s+/) as [string, string]));
}

/**
 * A part of a print as the name of a character has it: `Leaves` is `Leaf`. Of what is there or not, the last word stays as it
 * is printed. The empty part is the whole.
 */
export function partName(part: string, language: NameLanguage, asPrinted: boolean): string {
  if (part === '') return WHOLE_NAMES[language];
  const words = part.split(/\s+/).filter((w) => language === 'de' || !ARTICLES.has(bare(w)));
  return words
    .map((word, n) => {
      if (asPrinted && n === words.length - 1) return language === 'de' ? written(word) : word;
      return singular(word, language);
    })
    .join(' ');
}

/** A shortened word written out where it is known. */
function written(word: string): string {
  return /[.]$/.test(word) ? singular(word, 'de') : word;
}

function singular(word: string, language: NameLanguage): string {
  const plain = bare(word);
  const last = plain.split('-').at(-1) as string;
  const one =
    SINGULARS[language][plain] ??
    (language === 'en' ? `${plain.slice(0, plain.length - last.length)}${oneOf(last)}` : undefined);
  if (one === undefined) return word;
  return /^\p{Lu}/u.test(word) ? `${one.charAt(0).toUpperCase()}${one.slice(1)}` : one;
}

function oneOf(word: string): string {
  const known = SINGULARS.en[word];
  if (known !== undefined) return known;
  if (word.length < 4 || /(?:ss|us|is|as|os|ous)$/.test(word)) return word;
  if (/ies$/.test(word)) return word.replace(/ies$/, 'y');
  if (/(?:ch|sh|x|ss)es$/.test(word)) return word.slice(0, -2);
  if (/(?:ae|æ)$/.test(word)) return word.replace(/(?:ae|æ)$/, 'a');
  if (/(?:ang|rid|thec|asid|ec|al|il|ar|in|ept|yc)ia$/.test(word)) return word.replace(/a$/, 'um');
  return word.replace(/s$/, '');
}

/** A question in a language; the empty one has no name. */
export function propertyName(property: string, language: NameLanguage): string {
  const names = PROPERTY_NAMES[language];
  if (language === 'en') return names[property] ?? property;
  const known = names[property];
  if (known !== undefined) return known;
  const beside = /^(\w+) to (.*)$/.exec(property);
  if (beside !== null) return `${propertyName(beside[1] as string, 'de')} zu ${beside[2]}`;
  if (/^number in /.test(property)) return 'Anzahl';
  return property;
}
