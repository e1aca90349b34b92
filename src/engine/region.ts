/**
 * Region codes: ISO 3166 (`GB`, `GB-CMA`) and the World Geographical Scheme for Recording Plant Distributions, 2nd
 * edition (TDWG; level 1 `7`, level 2 `73`, level 3 `ORE`, level 4 `ORE-OO`).
 */

/** How one region relates to another. Codes of two schemes, or codes outside the table, cannot always be compared. */
type RegionRelation = 'within' | 'apart' | 'not known';

// Which level 2 region each level 3 unit lies in; Europe, Northern America and Australasia.
const WGSRPD_UNITS: Readonly<Record<string, string>> = {
  10: 'DEN FIN FOR GRB ICE IRE NOR SVA SWE',
  11: 'AUT BGM CZE GER HUN NET POL SWI',
  12: 'BAL COR FRA POR SAR SPA',
  13: 'ALB BUL GRC ITA KRI ROM SIC TUE YUG',
  14: 'BLR BLT KRY RUC RUE RUN RUS RUW UKR',
  50: 'NFK NSW NTA QLD SOA TAS VIC WAU',
  51: 'ATP CTM KER NZN NZS',
  70: 'ALU ASK GNL NUN NWT YUK',
  71: 'ABT BRC MAN SAS',
  72: 'LAB NBR NFL NSC ONT PEI QUE',
  73: 'COL IDA MNT ORE WAS WYO',
  74: 'ILL IOW KAN MIN MSO NDA NEB OKL SDA WIS',
  75: 'CNT INI MAI MAS MIC NWH NWJ NWY OHI PEN RHO VER WVA',
  76: 'ARI CAL NEV UTA',
  77: 'NWM TEX',
  78: 'ALA ARK DEL FLA GEO KTY LOU MRY MSI NCA SCA TEN VRG WDC',
  79: 'MXC MXE MXG MXI MXN MXS MXT',
};
const REGION_OF = new Map(
  Object.entries(WGSRPD_UNITS).flatMap(([region, units]) =>
    units.split(' ').map((unit) => [unit, region] as const),
  ),
);

/**
 * Whether a find's region lies within one that a key is made for. A find whose region is the wider of the two (`GB` for
 * a key to `GB-CMA`) may lie within it, and counts as within.
 */
export function regionRelation(find: string, key: string): RegionRelation {
  const [a, b] = [enclosingRegions(find), enclosingRegions(key)];
  // A text that is not a code lies nowhere.
  if (a === undefined || b === undefined) return 'apart';
  if (a.scheme !== b.scheme) return 'not known';
  if (a.codes.includes(key) || b.codes.includes(find)) return 'within';
  // A unit whose region is not in the table may lie anywhere among numbered regions.
  const numbered = (codes: readonly string[]) => codes.some((c) => /^\d/.test(c));
  if (a.scheme === 'wgsrpd' && numbered(a.codes) !== numbered(b.codes)) return 'not known';
  return 'apart';
}

/** A code with all that it lies in, as far as is known. */
function enclosingRegions(
  code: string,
): { readonly scheme: 'iso' | 'wgsrpd'; readonly codes: readonly string[] } | undefined {
  const [first = ''] = code.split('-');
  const own = first === code ? [code] : [code, first];
  if (/^[A-Z]{2}$/.test(first)) return { scheme: 'iso', codes: own };
  if (/^\d{1,2}$/.test(first)) return { scheme: 'wgsrpd', codes: numberedRegions(first) };
  if (!/^[A-Z]{3}$/.test(first)) return undefined;
  const region = REGION_OF.get(first);
  return { scheme: 'wgsrpd', codes: region === undefined ? own : [...own, ...numberedRegions(region)] };
}

function numberedRegions(code: string): string[] {
  return code.length === 1 ? [code] : [code, code.charAt(0)];
}
