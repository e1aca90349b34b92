import { nameRules } from '../file-rules/names.js';
import { shapeRules } from '../file-rules/shape.js';
import type { Rule } from '../rule.js';
import { aboutComplete } from './about-complete.js';
import { allowReason } from './allow-reason.js';
import { allowUsed } from './allow-used.js';
import { balance } from './balance.js';
import { baselineUsed } from './baseline-used.js';
import { chainScope } from './chain-scope.js';
import { characterApplies } from './character-applies.js';
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
import { orderForward } from './order-forward.js';
import { organFirst } from './organ-first.js';
import { otherwiseStated } from './otherwise-stated.js';
import { pathAcyclic } from './path-acyclic.js';
import { placeNotAlone } from './place-not-alone.js';
import { pointerForward } from './pointer-forward.js';
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
import { targetExists } from './target-exists.js';
import { taxonKeyedOnce } from './taxon-keyed-once.js';
import { taxonKeyedOut } from './taxon-keyed-out.js';
import { taxonReachesItself } from './taxon-reaches-itself.js';
import { termDefined } from './term-defined.js';
import { textMatchesWhen } from './text-matches-when.js';
import { unitStated } from './unit-stated.js';

/** The rules of this folder, in the order of their names: one file each. */
export const ruleFiles: readonly Rule[] = [
  aboutComplete,
  allowReason,
  allowUsed,
  balance,
  baselineUsed,
  chainScope,
  characterApplies,
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
  orderForward,
  organFirst,
  otherwiseStated,
  pathAcyclic,
  placeNotAlone,
  pointerForward,
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
  targetExists,
  taxonKeyedOnce,
  taxonKeyedOut,
  taxonReachesItself,
  termDefined,
  textMatchesWhen,
  unitStated,
];

/** Every rule there is, with those that are kept while a file is read. */
export const rules: readonly Rule[] = [...ruleFiles, ...nameRules, ...shapeRules];
