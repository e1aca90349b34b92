import type { Rule } from '../rule.js';
import { aboutComplete } from './about-complete.js';
import { allowReason } from './allow-reason.js';
import { allowUsed } from './allow-used.js';
import { balance } from './balance.js';
import { baselineUsed } from './baseline-used.js';
import { chainScope } from './chain-scope.js';
import { characterApplies } from './character-applies.js';
import { characterDepends } from './character-depends.js';
import { characterKnown } from './character-known.js';
import { characterSame } from './character-same.js';
import { clearsNothing } from './clears-nothing.js';
import { concernSourced } from './concern-sourced.js';
import { concernStated } from './concern-stated.js';
import { coupletDecides } from './couplet-decides.js';
import { coupletHasLeads } from './couplet-has-leads.js';
import { coupletOpensOtherwise } from './couplet-opens-otherwise.js';
import { coupletReachable } from './couplet-reachable.js';
import { coupletTwoLeads } from './couplet-two-leads.js';
import { descriptionAgrees } from './description-agrees.js';
import { figureExists } from './figure-exists.js';
import { harmWellSeparated } from './harm-well-separated.js';
import { idForm } from './id-form.js';
import { idUnique } from './id-unique.js';
import { importReviewed } from './import-reviewed.js';
import { leadIsPhrase } from './lead-is-phrase.js';
import { leadMeasured } from './lead-measured.js';
import { leadNamesNoTaxon } from './lead-names-no-taxon.js';
import { leadNoException } from './lead-no-exception.js';
import { leadOpensAlike } from './lead-opens-alike.js';
import { leadPositive } from './lead-positive.js';
import { leadPossible } from './lead-possible.js';
import { leadUnhedged } from './lead-unhedged.js';
import { leadsDiffer } from './leads-differ.js';
import { leadsExclusive } from './leads-exclusive.js';
import { leadsExhaustive } from './leads-exhaustive.js';
import { leadsParallel } from './leads-parallel.js';
import { logicDecided } from './logic-decided.js';
import { nameForm } from './name-form.js';
import { numberForm } from './number-form.js';
import { oneCondition } from './one-condition.js';
import { oneTarget } from './one-target.js';
import { orderForward } from './order-forward.js';
import { organFirst } from './organ-first.js';
import { otherwiseStated } from './otherwise-stated.js';
import { pathAcyclic } from './path-acyclic.js';
import { placeNotAlone } from './place-not-alone.js';
import { pointerForward } from './pointer-forward.js';
import { propertyFits } from './property-fits.js';
import { propertyKnown } from './property-known.js';
import { propertyNeeded } from './property-needed.js';
import { propertyOrder } from './property-order.js';
import { rangesMeet } from './ranges-meet.js';
import { rankStated } from './rank-stated.js';
import { reliableCharacterFirst } from './reliable-character-first.js';
import { scopeStated } from './scope-stated.js';
import { separationBacked } from './separation-backed.js';
import { separatorAlike } from './separator-alike.js';
import { shortLeadFirst } from './short-lead-first.js';
import { signsSeen } from './signs-seen.js';
import { slowCharacterLate } from './slow-character-late.js';
import { stageInScope } from './stage-in-scope.js';
import { standInsReplaced } from './stand-ins-replaced.js';
import { stateKnown } from './state-known.js';
import { targetExists } from './target-exists.js';
import { taxonKeyedOnce } from './taxon-keyed-once.js';
import { taxonKeyedOut } from './taxon-keyed-out.js';
import { taxonKnown } from './taxon-known.js';
import { taxonReachesItself } from './taxon-reaches-itself.js';
import { taxonWithin } from './taxon-within.js';
import { termDefined } from './term-defined.js';
import { textDepth } from './text-depth.js';
import { textMatchesWhen } from './text-matches-when.js';
import { textSize } from './text-size.js';
import { unitStated } from './unit-stated.js';
import { valueAllowed } from './value-allowed.js';
import { valueForm } from './value-form.js';
import { valueKind } from './value-kind.js';
import { valueNeeded } from './value-needed.js';
import { valueRange } from './value-range.js';
import { valueUnique } from './value-unique.js';
import { yamlSyntax } from './yaml-syntax.js';

/** Every rule, in order of name, one file each. */
export const rules: readonly Rule[] = [
  aboutComplete,
  allowReason,
  allowUsed,
  balance,
  baselineUsed,
  chainScope,
  characterApplies,
  characterDepends,
  characterKnown,
  characterSame,
  clearsNothing,
  concernSourced,
  concernStated,
  coupletDecides,
  coupletHasLeads,
  coupletOpensOtherwise,
  coupletReachable,
  coupletTwoLeads,
  descriptionAgrees,
  figureExists,
  harmWellSeparated,
  idForm,
  idUnique,
  importReviewed,
  leadIsPhrase,
  leadMeasured,
  leadNamesNoTaxon,
  leadNoException,
  leadOpensAlike,
  leadPositive,
  leadPossible,
  leadUnhedged,
  leadsDiffer,
  leadsExclusive,
  leadsExhaustive,
  leadsParallel,
  logicDecided,
  nameForm,
  numberForm,
  oneCondition,
  oneTarget,
  orderForward,
  organFirst,
  otherwiseStated,
  pathAcyclic,
  placeNotAlone,
  pointerForward,
  propertyFits,
  propertyKnown,
  propertyNeeded,
  propertyOrder,
  rangesMeet,
  rankStated,
  reliableCharacterFirst,
  scopeStated,
  separationBacked,
  separatorAlike,
  shortLeadFirst,
  signsSeen,
  slowCharacterLate,
  stageInScope,
  standInsReplaced,
  stateKnown,
  targetExists,
  taxonKeyedOnce,
  taxonKeyedOut,
  taxonKnown,
  taxonReachesItself,
  taxonWithin,
  termDefined,
  textDepth,
  textMatchesWhen,
  textSize,
  unitStated,
  valueAllowed,
  valueForm,
  valueKind,
  valueNeeded,
  valueRange,
  valueUnique,
  yamlSyntax,
];
