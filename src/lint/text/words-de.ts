import type { Words } from './words.js';

export const german: Words = {
  articles: 'der die das den dem des ein eine einen einem einer eines'.split(' '),
  copulas: ['ist', 'sind', 'war', 'hat', 'haben'],
  and: ['und', 'sowie', 'samt'],
  or: ['oder', 'bzw.'],
  prepositions:
    'von vom in im an am auf aus mit ohne bei beim unter über um neben hinter zwischen zu zum zur gegen nach vor'.split(
      ' ',
    ),
  fillers:
    'immer stets ganz völlig deutlich sehr alle beide auch dann nur rein tief hell dunkel durchweg gänzlich'.split(
      ' ',
    ),
  negations: [
    'nicht',
    'nie',
    'niemals',
    'weder',
    'noch',
    'kein',
    'keine',
    'keinen',
    'keiner',
    'keines',
    'keinem',
    'ohne',
    'kaum',
  ],
  changes:
    'wenn falls bis sofern werdend wird später bald zuletzt zuerst anfangs jung alt alter reif trocken feucht frisch aber außer oben unten außen innen oberseits unterseits dann an'.split(
      ' ',
    ),
  present: ['vorhanden', 'da', 'ausgebildet', 'sichtbar'],
  absent: ['fehlend', 'fehlt', 'fehlen', 'abwesend'],
  with: ['mit'],
  without: ['ohne', 'kein', 'keine', 'keinen'],

  hedges: [
    'meist',
    'meistens',
    'oft',
    'manchmal',
    'häufig',
    'gelegentlich',
    'mehr oder weniger',
    '±',
    'selten',
    'gewöhnlich',
    'in der regel',
    'i. d. r.',
    'normalerweise',
    'bisweilen',
    'mitunter',
    'zuweilen',
    'zumeist',
    'überwiegend',
    'vorwiegend',
    'im allgemeinen',
    'teils',
    'vielleicht',
    'wohl',
    'typischerweise',
  ],
  relative: (
    'groß großer große großes großen größer größere größerer größeres größeren klein kleiner kleine kleines kleinen kleinere kleinerer kleineres winzig winzige winziger ' +
    'lang lange langer langes langen länger längere längerer längeres kurz kurze kurzer kurzes kurzen kürzer kürzere kürzerer ' +
    'breit breite breiter breites breiten breitere breiterer schmal schmale schmaler schmales schmalen schmäler schmälere dick dicke dicker dickes dicken dickere ' +
    'riesig riesige auffällig auffällige auffälliger unauffällig unauffällige stattlich stattliche'
  ).split(' '),
  referents:
    'als wie mal doppelt halb gegen verglichen so ebenso gleich fast überragend erreichend bis'.split(' '),
  negativeOpenings:
    'nicht ohne kein keine keinen keiner weder nie sonst andere anderer anderes anders ansonsten'.split(' '),
  refusals: [
    /^(?:sonst|ansonsten|anders|nicht (?:so|wie oben|wie vorher|wie vorige|in dieser (?:kombination|verbindung)|mit diesen merkmalen|diese merkmale)|(?:merkmale|pflanzen?|pilze?|tiere?) (?:nicht so|anders|nicht wie oben)|ohne diese (?:merkmale|kombination)|nichts davon|keines davon|(?:alle )?andere[rns]?|alles andere|(?:alle )?übrigen)$/iu,
  ],
  exceptions: [
    'außer',
    'ausgenommen',
    'mit ausnahme von',
    'mit ausnahme',
    'abgesehen von',
    'bis auf',
    'es sei denn',
    'aber nicht',
  ],
  unnamedSpecies: [
    'einer art',
    'einige arten',
    'einigen arten',
    'eine art',
    'manche arten',
    'manchen arten',
    'wenige arten',
    'wenigen arten',
  ],
  questions: ['ist', 'sind', 'hat', 'haben', 'welche', 'welcher', 'welches', 'wie', 'was'],

  decimalComma: true,
  numbers: {
    zwei: 2,
    drei: 3,
    vier: 4,
    fünf: 5,
    sechs: 6,
    sieben: 7,
    acht: 8,
    neun: 9,
    zehn: 10,
    elf: 11,
    zwölf: 12,
    dreizehn: 13,
    vierzehn: 14,
    fünfzehn: 15,
    sechzehn: 16,
    siebzehn: 17,
    achtzehn: 18,
    neunzehn: 19,
    zwanzig: 20,
    dreißig: 30,
    vierzig: 40,
    fünfzig: 50,
    'ein dutzend': 12,
  },
  weakNumbers: ['acht'],
  multiples: { doppelt: 2, zweimal: 2, dreimal: 3, viermal: 4, fünfmal: 5, sechsmal: 6 },
  times: ['mal', '-mal', 'fach', '-fach'],
  before: {
    '>': ['über', 'mehr als', 'größer als', 'länger als', 'breiter als'],
    '>=': ['mindestens', 'wenigstens', 'nicht weniger als', 'nicht unter', 'ab', 'zumindest'],
    '<': ['unter', 'weniger als', 'kleiner als', 'kürzer als', 'schmaler als', 'schmäler als'],
    '<=': ['höchstens', 'bis zu', 'bis', 'nicht mehr als', 'nicht über', 'maximal', 'nicht länger als'],
  },
  after: {
    '>=': [
      'oder mehr',
      'oder länger',
      'oder breiter',
      'oder darüber',
      'und mehr',
      'und darüber',
      'oder größer',
    ],
    '<=': ['oder weniger', 'oder kürzer', 'oder schmaler', 'oder darunter', 'und weniger', 'oder kleiner'],
  },
  between: ['zwischen', 'und'],
  rangeWord: 'bis',
  about: ['etwa', 'ungefähr', 'rund', 'fast', 'ca.', 'ca', 'circa', 'zirka', 'beinahe', 'knapp', 'gut', 'um'],
  dimensions: 'breit lang hoch dick tief durchmesser im'.split(' '),
  units: {
    millimeter: 'mm',
    zentimeter: 'cm',
    dezimeter: 'dm',
    meter: 'm',
    mikrometer: 'um',
    zoll: 'in',
    prozent: '%',
    grad: 'deg',
    sekunden: 's',
    minuten: 'min',
    stunden: 'h',
    tage: 'd',
    gramm: 'g',
  },
  references: ['nr.', 'nr', 'abb.', 'abb', 's.', 'seite', 'tafel', 'taf.', 'fig.', 'stadium', 'typ'],

  generic:
    'farbe form gestalt oberfläche länge breite höhe größe zahl anzahl art lage stellung textur beschaffenheit ausbildung vorkommen'.split(
      ' ',
    ),
  // -förmig, -spaltig, -artig, -ständig.
  abbreviated:
    /(?:[^aeiouäöüfpr]f|sp|\p{L}{3}art|(?:achsel|end|gegen|grund|ober|quirl|rand|unter|wechsel)st)$/u,
  parts:
    // Of plants, with the abbreviations of floras; of fungi; of animals.
    (
      'blatt blätter blätt blättchen blättch fieder fiederchen fiederblättchen blattstiel blattspreite nebenblatt nebenblätter nebenblätt stengel stängel stamm zweig ast äste knospe rinde dorn stachel haar wurzel wurzelstock zwiebel knolle blüte bltn blütenstand bltnstand blütenhülle bltnhülle bltnhüllblätt kelch kelchblatt kelchblätter kelchblätt blumenkrone krone blkr blütenblatt blütenblätter blblätt kronblatt kronblätter staubblatt staubblätter stbblätt staubfäden stbfäden staubbeutel stbbeutel griffel narbe fruchtknoten frkn same frucht früchte schote schötchen hülse kapsel beere nuss nuß zapfen klappe fach fächer hülle hüllblatt hüllblätter hüllkelch hochblatt hochblätter deckblatt deckblätter deckblättchen tragblatt tragblätter spelze ährchen ähre traube dolde rispe köpfchen blattscheide blatthäutchen häufchen fruchthäufchen frhäufchen schleier wedel ' +
      'hut lamelle stiel ring scheide fleisch röhre pore spore sporenpulver milch rand ' +
      'kopf fühler auge taster brust halsschild schildchen flügel flügeldecken bein schenkel schiene tarsen fuss fuß hinterleib segment borste kralle gehäuse mündung schnabel schwanz ohr fell feder gefieder körper'
    ).split(' '),
  places: [
    'verbreitung',
    'verbreitungsgebiet',
    'region',
    'fundort',
    'fundgebiet',
    'herkunft',
    'vorkommensgebiet',
  ],
  terms: (
    'achäne achänen apikal axillär braktee brakteen cystide cystiden zystide zystiden cheilozystiden pleurozystiden dextrinoid dichasium diözisch monözisch elytren femur femora tibia tibien tarsus tarsen hygrophan hymenium hymenophor hyphen amyloid inamyloid infloreszenz internodium internodien involukrum ' +
    'karpell kladodium labellum lentizellen ligula mucronat nektarium nektarien ochrea ozellen palea pappus perianth perigon peristom pronotum propodeum pubeszent rhizom scutellum sklerit sklerite sternit sternite stipeln stolonen tergit tergite trama utriculus velum volva zyme'
  ).split(' '),
};
