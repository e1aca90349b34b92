/** Words of printed keys in English and German, for telling names from ordinary words. */

const list = (words: string): ReadonlySet<string> => new Set(words.trim().split(/\s+/));

/** Words that begin statements or occur in them, and so are not part of a scientific name. All in lower case. */
const ORDINARY: ReadonlySet<string> = list(`
  a above absent acute adnate all alternate always and annulus antennae apex are as at axis bark base bearing below bill
  blade blades body bracts branched branches bristles broad brown buds bulb but by calyx cap caps capsule catkins cells
  central clypeus cold common coarse colour corolla cone cones cuticle dark dense each ear ears edge edible egg elytra
  entire erect even eye eyes face few fins flat flesh fleshy flower flowering flowers foliage foot free from fringe frond
  fronds fruit fruiting fruits fur gills glabrous glumes green ground hair hairs hairy half head heads herb herbs hind
  host in inner is it its key larva large lateral latex leaf leaflets leaves legs length less ligule lip lobes long lower
  margin margins mature membrane mid more most mouth narrow neck nest no none not numerous of on one only open opposite
  or ovary outer palps pappus part pendulous perennial annual petal petals petiole pileus pinnae plant plants pods pores
  present pronotum purple rachis rare ray red rhizome ribs ring root roots rough round rows scales scent seed seeds
  segments sepals serrate sessile several shape shell shells short shrub shrubs side sides simple single size small smell
  smooth soft solitary sori species spikelet spikelets spikes spines spiny spire spore spores spots stalk stamens stem
  stems stigma stipe stipules straight stripe stripes style styles surface tail taste teeth texture the thin thorax tip
  tips toothed trees tree trunk tube tubes twig twigs two umbel under underside upper usually veil vein veins very volva
  wanting water white whole wide wing wings with without woody yellow
  longer shorter larger smaller broader narrower thicker thinner darker paler lighter deeper higher wider taller rougher
  smoother pale dull bright light deep rather either other another together never after over further however whether
  adern ähre ährchen alle am an auch auf aus bis blatt blätter blattrand blattstiel blüte blüten blütenstand braun breit
  als breiter dicker etwa fast größer grösser höchstens kleiner kürzer länger meist mindestens ohne schmäler sehr so
  das dem den der des die dick drüsen dünn ein eine einfach einer eines entfernt fein fehlend flügel frei frucht früchte
  ganzrandig gegenständig gelb gesägt gestielt glatt griffel grün haare halm hut im ist kahl kapsel kelch kelchblätter
  knolle körper krautig krone kronblätter kurz lamellen länge lang längs mit nadeln narben nicht nur ober oberseite oder
  pflanze pflanzen rand ring rinde rot samen schuppen seiten selten sitzend spitze sporen sporenpulver stacheln stängel
  staubblätter stengel stiel stumpf über unten unter unterseite verzweigt vorhanden wechselständig weiß weiss wurzel
  zapfen zähne zum zur zwei zweige blättchen baum bäume strauch sträucher kraut kräuter hülle manschette fleisch geruch
  milchsaft tiere fühler beine kopf`);

const STRONG_GENUS =
  /(?:us|um|a|is|on|os|as|ax|ix|ex|ys|ops|anthes|odon|opsis|ella|pteris|spermum|stachys|mys|gaster|aster|acer|er)$/;
const STRONG_EPITHET =
  /(?:us|um|a|is|i|ae|oides|ensis|orum|arum|ans|ens|escens|atus|ata|atum|iae|ceps|fer|ger|color|pes|ferens|ior|ius|x)$/;
const WEAK_EPITHET = /(?:e|o|r|n|s|l|m)$/;
const ENGLISH_FORM =
  /(?:ing|ed|ly|ness|ish|less|like|ous|able|ible|shaped|sized|ches|shes|ves|ies|lich|ig|isch|ung|heit|keit|förmig|artig|los|end|bar|ern)$/;

/** How much a word looks like a Latin genus: 0 not at all, 1 it could be one, 2 it does. */
export function genusForm(word: string): 0 | 1 | 2 {
  const lower = word.toLowerCase();
  if (lower.length < 3 || ORDINARY.has(lower) || ENGLISH_FORM.test(lower)) return 0;
  return STRONG_GENUS.test(lower) ? 2 : 1;
}

/** How much a word looks like a Latin epithet: 0 not at all, 1 it could be one, 2 it does. */
export function epithetForm(word: string): 0 | 1 | 2 {
  const lower = word.toLowerCase();
  if (lower.length < 2 || ORDINARY.has(lower)) return 0;
  if (STRONG_EPITHET.test(lower)) return 2;
  if (ENGLISH_FORM.test(lower)) return 0;
  return WEAK_EPITHET.test(lower) ? 1 : 0;
}

const ENGLISH = list('the and or with without of not on in from than at to present absent');
const GERMAN = list(
  'der die das und oder mit ohne nicht auf im am bis von als zu sind ist vorhanden fehlend',
);

/** The language of a text by its common short words; undefined when neither language stands out. */
export function languageOf(text: string): 'en' | 'de' | undefined {
  let en = 0;
  let de = 0;
  for (const [word] of text
    .slice(0, 400_000)
    .toLowerCase()
    .matchAll(/[\p{L}]+/gu)) {
    if (ENGLISH.has(word)) en++;
    if (GERMAN.has(word)) de++;
  }
  if (en === de) return undefined;
  return en > de ? 'en' : 'de';
}
