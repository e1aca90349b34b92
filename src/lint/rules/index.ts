import { nameRules } from '../filerules/names.js';
import { shapeRules } from '../filerules/shape.js';
import type { Rule } from '../rule.js';
import { allowReason } from './allow-reason.js';
import { allowUsed } from './allow-used.js';
import { baselineUsed } from './baseline-used.js';
import { characterApplies } from './character-applies.js';
import { coupletDecides } from './couplet-decides.js';
import { descriptionAgrees } from './description-agrees.js';
import { harmWellSeparated } from './harm-well-separated.js';
import { leadPossible } from './lead-possible.js';
import { leadsExclusive } from './leads-exclusive.js';
import { leadsExhaustive } from './leads-exhaustive.js';
import { logicDecided } from './logic-decided.js';
import { otherwiseStated } from './otherwise-stated.js';
import { propertyOrder } from './property-order.js';
import { rangesMeet } from './ranges-meet.js';
import { taxonReachesItself } from './taxon-reaches-itself.js';

/** The rules of this folder, in the order of their names: one file each. */
export const ruleFiles: readonly Rule[] = [
  allowReason,
  allowUsed,
  baselineUsed,
  characterApplies,
  coupletDecides,
  descriptionAgrees,
  harmWellSeparated,
  leadPossible,
  leadsExclusive,
  leadsExhaustive,
  logicDecided,
  otherwiseStated,
  propertyOrder,
  rangesMeet,
  taxonReachesItself,
];

/** Every rule there is, with those that are kept while a file is read. */
export const rules: readonly Rule[] = [...ruleFiles, ...nameRules, ...shapeRules];
