/**
 * Words of printed keys in English and German from which conditions are proposed. Plain data: a word more changes what is
 * proposed, and no code. All in lower case, German adjectives without their endings.
 */

const list = (words: string): readonly string[] => words.trim().split(/\s+/);
const set = (words: string): ReadonlySet<string> => new Set(list(words));

/**
 * What may be asked of a part, and the words that answer it. Two words of one property are answers to one question, so
 * a lead with the one is held against a lead with the other; a word may answer several questions. A word that is not here answers a
 * question of its own.
 */
export const PROPERTY_WORDS: Readonly<Record<string, readonly string[]>> = {
  arrangement: list(`opposite alternate whorled spiral spirally scattered distichous decussate fascicled
    gegenständig wechselständig quirlständig quirlig grundständig zweizeilig kreuzgegenständig gegenst wechselst quirlst grundst`),
  division:
    list(`simple compound undivided pinnate bipinnate tripinnate pinnatifid pinnatisect palmate digitate trifoliate
    decompound lobed cleft divided parted entire pinnately palmately ungeteilt geteilt gefiedert fiederteilig fiederspaltig
    fiederschnittig gegabelt gefingert dreizählig handförmig gelappt zusammengesetzt leierförmig 3zählig 2fach 3fach 4fach mehrfach
    ganzrandig gezähnt gesägt eingeschnitten buchtig serrate toothed crenate dentate sinuate`),
  margin:
    list(`entire entire-edged serrate serrated serrulate toothed crenate crenulate dentate denticulate sinuate lobed bristly
    revolute involute notched spinulose wavy undulate margined wing-margined ciliate fringed ganzrandig gezähnt gesägt gekerbt gezähnelt
    kerbig buchtig bewimpert gelappt`),
  shape:
    list(`linear lanceolate oblanceolate ovate obovate oval elliptic elliptical oblong orbicular round rounded roundish globose
    subglobose spherical ovoid obovoid cordate reniform hastate sagittate deltoid triangular cylindric cylindrical conical conic
    fusoid fusiform clavate turbinate hemispherical depressed-globose elongate elongated allantoid
    vasiform tubular circular rectangular square quadrate terete spatulate cuneate acicular pyriform campanulate
    net-like furcate moniliform filiform rundlich länglich eiförmig herzförmig kugelig kugelrund rund lanzettlich
    linealisch lineal nierenförmig pfeilförmig schwertförmig kreisrund zungenförmig dreieckig walzlich oval elliptisch
    zylindrisch stielrund pfriemlich deltoid-ovate kreisförmig`),
  profile: list('convex concave plane flat umbilicate depressed umbonate gewölbt flach vertieft'),
  'cross-section':
    list(`compressed flattened flat terete angled angular quadrangular fluted cylindrical cylindric
    stielrund kantig platt zusammengedrückt`),
  tip: list(
    'acute acuminate obtuse cuspidate mucronate emarginate retuse truncate spitz zugespitzt stumpf ausgerandet',
  ),
  hairiness:
    list(`glabrous hairy pubescent smooth hispid hirsute villous tomentose woolly silky velvety bristly ciliate hispidulous
    densely-pubescent naked setose hairless downy puberulent kahl behaart haarig glatt filzig wollig seidig borstig grauhaarig
    weißfilzig flaumig`),
  smoothness:
    list(`smooth rough scabrous warty wrinkled rugose rugulose striate even uneven punctate impunctate reticulate sculptured
    granular granulate areolate strigate ribbed grooved furrowed glatt rauh rau runzlig warzig gefurcht gerippt`),
  scales: list('scaly chaffy smooth naked glabrous schuppig beschuppt schuppenlos kahl glatt'),
  spines: list('prickly spiny thorny smooth naked unarmed bestachelt stachelig dornig wehrlos unbewehrt'),
  glands: list('glandular eglandular smooth glabrous drüsig drüsenlos'),
  stickiness: list('viscid dry sticky glutinous slimy klebrig trocken schleimig'),
  gloss: list('glossy shining shiny dull lustrous glänzend matt'),
  bloom: list('pruinose glaucous powdery bereift'),
  substance:
    list(`fleshy leathery coriaceous corky woody membranous membranaceous gelatinous sub-gelatinous subgelatinous waxy
    cartilaginous papery herbaceous fleischig ledrig lederartig korkig holzig häutig gallertig`),
  firmness:
    list(`fleshy soft tough firm hard leathery rigid flexible delicate brittle spongy corky woody korkig holzig fleischig weich zäh hart ledrig
    lederartig zart starr steif derb biegsam`),
  lime: list('calcareous non-calcareous limeless'),
  posture:
    list(`erect upright ascending spreading drooping pendulous nodding recumbent prostrate procumbent decumbent creeping
    reflexed recurved trailing hanging climbing aufrecht aufsteigend abstehend hängend nickend niederliegend kriechend liegend
    zurückgebogen kletternd`),
  size: list('large larger small smaller minute big tiny enlarged groß größer klein kleiner winzig'),
  length: list('long longer short shorter elongate elongated lang länger kurz kürzer'),
  thickness: list('thick thin thicker thinner stout slender dick dünn dicker dünner schlank'),
  width: list('broad narrow wide broader narrower wider breit schmal breiter schmäler'),
  height: list('high low tall taller hoch niedrig'),
  depth: list('deep shallow deeper shallower tief seicht'),
  attachment:
    list(`sessile stalked petioled short-petioled long-petioled stipitate petiolate pedicelled short-stalked
    free adnate adnexed decurrent sinuate attached remote sitzend gestielt herablaufend angewachsen frei stengelumfassend
    clasping perfoliate amplexicaul langgestielt kurzgestielt`),
  fusion: list(
    'free united joined fused connate coherent separate distinct confluent frei verwachsen getrennt',
  ),
  clustering:
    list(`solitary single clustered crowded scattered raceme racemes panicle panicles spike spikes umbel umbels cyme cymes
    cluster clusters head heads corymb corymbs catkin catkins bundle bundles whorls tufts gregarious cespitose heaped
    einzeln ähre ähren traube trauben dolde dolden rispe rispen kopf köpfchen büschel quirle`),
  type: list(`berry berries drupe drupes nut nuts capsule capsules pod pods achene achenes samara samaras cone cones catkin pome pomes
    acorn acorns legume follicle bur burs beere steinfrucht nuss kapsel hülse schote zapfen`),
  sex: list('male males female females männchen weibchen'),
  kind: list('gills pores teeth spines tubes plates lamellen röhren stacheln poren'),
  branching: list('branched unbranched simple forked einfach ästig verzweigt gegabelt unverzweigt'),
  solidity: list('hollow solid stuffed chambered hohl voll markig'),
  opacity: list('hyaline opaque transparent translucent iridescent durchsichtig undurchsichtig'),
  duration: list(
    'evergreen deciduous persistent annual perennial biennial immergrün sommergrün ausdauernd einjährig',
  ),
  habit: list(`tree trees shrub shrubs herb herbs herbaceous climber climbers vine vines liana woody
    baum bäume strauch sträucher kraut kräuter staude stauden`),
  habitat:
    list(`aquatic terrestrial semiaquatic marine epiphytic landpfl wasserpfl landpflanze landpflanzen wasserpflanze
    wasserpflanzen untergetaucht schwimmend parasitic`),
  scent: list('fragrant aromatic odorless odourless scented foetid fetid duftend geruchlos aromatisch'),
  taste: list('sweet bitter acrid mild sour süß scharf bitter'),
  season: list('spring summer autumn winter frühling sommer herbst'),
  symmetry: list(
    'symmetrical unsymmetrical asymmetrical oblique equal unequal regular irregular gleich ungleich gleichlang',
  ),
  opening: list('closed open geschlossen offen'),
  number: list('numerous few many several zahlreich wenige viele'),
  veining: list('parallel-veined net-veined feather-veined palmate-veined feather-veining'),
  layers: list('single double simple'),
  fruiting: list('æthalioid aethalioid plasmodiocarpous sporangiate'),
  position:
    list(`terminal axillary basal lateral superior inferior central eccentric superposed marginal endständig achselständig
    seitenständig randständig oberständig unterständig mittelständig unterst oberst randst freiliegend`),
  texturing: list('continuous forked'),
  jointing: list('jointed'),
};

/** Endings of compounds, and the property of what they end. */
export const PROPERTY_ENDINGS: Readonly<Record<string, string>> = {
  '-shape': 'shape',
  '-shaped': 'shape',
  '-like': 'shape',
  '-form': 'shape',
  iform: 'shape',
  förmig: 'shape',
  '-hairy': 'hairiness',
  '-tomentose': 'hairiness',
  '-pubescent': 'hairiness',
  '-lobed': 'division',
  '-petioled': 'attachment',
  ständig: 'position',
  fächerig: 'cells',
  '-celled': 'cells',
  samig: 'seeds',
  '-seeded': 'seeds',
  nervig: 'nerves',
  '-nerved': 'nerves',
  '-veined': 'veining',
  gliederig: 'joints',
  reihig: 'rows',
  '-ranked': 'rows',
  spaltig: 'cleft',
  '-flowered': 'flowers',
  zählig: 'division',
  bristly: 'margin',
};

export const COLOUR_WORDS =
  list(`white whitish black blackish red reddish rose rosy pink pinkish yellow yellowish orange green
  greenish blue bluish purple purplish violet violaceous lilac brown brownish grey gray greyish grayish ashen cream buff ochre
  ochraceous ferruginous testaceous rusty ruby copper scarlet crimson golden silvery olive ivory tawny chestnut cinnamon vinaceous
  salmon flesh colourless colorless vari-colored
  weiß weiss weißlich weisslich schwarz schwärzlich rot rötlich rosa gelb gelblich grün grünlich blau bläulich purpurn purpur violett
  lila braun bräunlich grau gräulich graulich rostrot rostbraun goldgelb silbern silbrig cremefarben farblos rötlichweiß
  gelblichweiß weißl rötl bräunl gelbl grünl rundum-braun`);
export const SHADE_WORDS = list(`pale dark light bright deep dull dirty pure clear uniformly colored coloured
  hell dunkel tief blass rein schmutzig leuchtend`);

/** Words that name parts; sentences of the same key name others. Without the ending of the plural. */
export const PART_WORDS =
  set(`leaf leave leaves leaflet leaflets leaf-sheath sheath stem branch twig bark bud buds flower flowers petal petals sepal sepals
  stamen stamens style stigma ovary fruit fruits seed seeds capsule acorn nut cup pith root petiole petioles stipule stipules thorn
  thorns bristle bristles spine spines hair hairs vein veins lobe lobes tooth teeth margin base apex tip axis foliage trunk twigs branches stems
  corolla calyx peduncle peduncles pedicel anther anthers filament inflorescence flower-cluster bract bracts spikelet glume ligule
  bundle-scar bundle-scars leaf-scar leaf-scars
  cap pileus gill gills stipe ring volva annulus veil spore spores flesh pore pores tube tubes hymenium basidia latex cuticle
  frond fronds pinna pinnae pinnæ pinnule pinnules sori sorus indusium stipes rachis blade
  sporangium sporangia peridium capillitium columella stalk cortex æthalium æthalia aethalium node nodes spore-mass dehiscence
  wing wings body head tail legs antenna antennae eye eyes abdomen thorax elytra disk spiracles lobes mentum beak bill ear ears fins
  points sides side berries stone processes zooecia polypides zoaria statoblast statoblasts scales bristles trunk cone cones
  wood-fibers plants plant shells shell`);

/** Words for the whole: what is said of them is said of the find. */
export const WHOLE_WORDS =
  set(`plant plants species form forms one specimen animal animals specimens individuals
  pflanze pflanzen pfl tiere tier art arten`);

export const COPULAS = set('is are was being ist sind');
export const ARTICLES = set(
  'the a an its their der die das den dem des ein eine einem einer eines einen ihre ihr',
);
/** Words before a noun that say which of several parts is meant. */
export const WHICH_WORDS =
  set(`lower upper basal terminal lateral principal free inner outer main young older old cauline radical middle
  fertile sterile external primary secondary dorsal ventral male female pronotal axillary anal hind fore median central
  obere untere unteren oberen unterste untersten fruchtbare unfruchtbare fruchtbaren unfruchtbaren grundständige grundst äußere
  innere längere läng kürzere mittlere alle all stengelständige junge`);

export const NOT_WORDS = set('not never nicht nie niemals non keineswegs');
export const ABSENT_WORDS = set('absent wanting lacking missing none obsolete fehlend fehlt fehlen');
export const PRESENT_WORDS = set('present vorhanden');
export const WITH_WORDS = set('with bearing having has have possessing mit hat');
export const WITHOUT_WORDS = set('without lacking no ohne kein keine keinen keiner lacks');
/** What is said so holds for most finds only. */
export const USUALLY_WORDS =
  set(`usually mostly often generally normally commonly typically frequently meist meistens oft häufig gewöhnlich
  regelmäßig typisch`);
/** What follows is rare, yet can be. */
export const RARE_WORDS = set(
  `rarely sometimes occasionally seldom exceptionally selten zuweilen zuw manchmal ausnahmsweise bisweilen`,
);
/** What is said so holds for a time, for a place or for one species only: no condition rests on it. */
export const OPEN_WORDS =
  set(`except unless if when young old first becoming soon later age although though besonders doch teils
  wenigstens jung alt anfangs zuletzt später außer sonst hierher intermediate partly wenn while following`);
/** Words that leave open what is meant when they are part of a state. */
export const VAGUE_WORDS = set(
  `some others other like than etc so both various ander andere wie als ersten bei same such`,
);
/** How often something is divided: `twice pinnate` is not `pinnate`. */
export const TIMES_WORDS = set(
  'once twice thrice einfach doppelt zweifach dreifach mehrfach 2-4fach 2-3fach 2fach 3fach 4fach',
);
/** Degrees: they colour what is said and do not change it. */
export const DEGREE_WORDS =
  set(`very rather somewhat quite more less nearly almost about fairly evidently conspicuously prominently distinctly
  strongly slightly densely thinly deeply shallowly hardly fully truly sharply finely coarsely broadly narrowly mere merely
  only obscurely throughout largely moderately definite all also strictly
  entirely wholly apparently otherwise always clearly little more-or-less mehr-oder-weniger sehr ziemlich etwas mehr weniger fast beinahe völlig schwach stark dicht
  fein tief deutlich undeutlich kaum ganz wenig viel auffallend nur alle stets immer scheinbar sub`);
/** Words that say no more than what stands beside them; a denial of them is another thing. */
export const EMPTY_WORDS = set(
  `also otherwise all always throughout apparently evidently clearly strictly alle stets immer scheinbar`,
);
/** Degrees that are held against each other when the word is the same. */
export const HIGH_WORDS =
  set(`very strongly densely deeply fully more conspicuously prominently distinctly easily broadly wholly entirely much sehr stark
  dicht tief völlig deutlich viel auffallend mere merely`);
export const LOW_WORDS = set(
  `slightly thinly hardly less shallowly little obscurely narrowly indistinctly schwach kaum wenig undeutlich`,
);

export const OR_WORDS = set('or od oder nor noch sowie bis to');
export const AND_WORDS = set('and und u');
export const EITHER_WORDS = set('either entweder entw');
export const NEITHER_WORDS = set('neither weder');
export const PLACE_WORDS = set(`beneath above below underneath unterseits oberseits outside inside`);
export const PREPOSITIONS =
  set(`in on at of by from near under over along beyond around between into upon through to as
  for like als im in am an auf aus von vom v zu zum unter über neben durch um zwischen beim`);

/** Number words, also of ratios. */
export const NUMBER_WORDS: Readonly<Record<string, string>> = {
  ...Object.fromEntries(
    [
      'one ein',
      'two zwei',
      'three drei',
      'four vier',
      'five fünf',
      'six sechs',
      'seven sieben',
      'eight acht',
      'nine neun',
      'ten zehn',
      'eleven elf',
      'twelve zwölf',
    ].flatMap((pair, i) => pair.split(' ').map((word) => [word, String(i + 1)])),
  ),
  once: '1 times',
  twice: '2 times',
  thrice: '3 times',
  doppelt: '2 times',
  dreimal: '3 times',
};
export const FRACTION_WORDS: Readonly<Record<string, string>> = {
  half: '0.5',
  'one-half': '0.5',
  'one-third': '0.333',
  'one-fourth': '0.25',
  'one-quarter': '0.25',
  'one-fifth': '0.2',
  'two-thirds': '0.667',
  'three-fourths': '0.75',
};
/** How amounts are said, in the words that the notation of numbers reads. */
export const AMOUNT_WORDS: readonly (readonly [words: string, plain: string])[] = [
  ['not less than|not under|no less than|mindestens|wenigstens', 'at least'],
  ['not over|not exceeding|not more than|not longer than|no more than|höchstens|bis zu', 'at most'],
  ['weniger als|unter|kleiner als|kürzer als|smaller than|shorter than|fewer than|below', 'less than'],
  ['mehr als|über|größer als|länger als|exceeding|above|greater than|longer than|larger than', 'more than'],
  ['etwa|ungefähr|nearly|fast|c\\.|circa', 'about'],
  ['oder mehr|und mehr|and more|to many|or longer|or larger', 'or more'],
  ['oder weniger|or fewer|or shorter|or smaller', 'or less'],
  ['oder|od\\.', 'or'],
  ['bis', 'to'],
];
export const UNIT_WORDS: Readonly<Record<string, string>> = {
  mm: 'mm',
  cm: 'cm',
  dm: 'dm',
  m: 'm',
  µ: 'um',
  μ: 'um',
  µm: 'um',
  μm: 'um',
  um: 'um',
  micron: 'um',
  microns: 'um',
  in: 'in',
  inch: 'in',
  inches: 'in',
  ft: 'ft',
  foot: 'ft',
  feet: 'ft',
  metre: 'm',
  metres: 'm',
  meter: 'm',
  meters: 'm',
  zoll: 'in',
  fuß: 'ft',
}; // prettier
export const DIMENSION_WORDS: Readonly<Record<string, string>> = {
  long: 'length',
  lang: 'length',
  lg: 'length',
  'in length': 'length',
  wide: 'width',
  broad: 'width',
  breit: 'width',
  'in width': 'width',
  across: 'width',
  thick: 'thickness',
  dick: 'thickness',
  high: 'height',
  tall: 'height',
  hoch: 'height',
  hohe: 'height',
  deep: 'depth',
  tief: 'depth',
  'in diameter': 'diameter',
  diameter: 'diameter',
  diam: 'diameter',
  'im durchmesser': 'diameter',
};

/** Questions to which no find has two answers. */
export const EXCLUSIVE_PROPERTIES = set('arrangement habit colour season opening solidity duration type sex');

/** Words that say the same, as ids have them. */
export const SYNONYMS: readonly ReadonlySet<string>[] = [
  set('quirlig quirlst quirlstaendig quirl'),
  set('grey gray'),
  set('glabrous hairless'),
  set('weiss weisslich-weiss'),
];
