import type { CompiledCouplet, CompiledLead } from '../engine/compile.js';
import type { Logic } from '../engine/logic.js';

/** The characters that a lead asks though no find that arrives at its couplet can have them. */
export function unaskable(logic: Logic, couplet: CompiledCouplet, lead: CompiledLead): number[] {
  const arrival = logic.mayArrive(couplet.index);
  if (lead.check === undefined || arrival === undefined || arrival.length === 0) return [];
  return logic.askedIn(lead).filter((character) => {
    if (logic.key.gates[character] === undefined) return false;
    return (
      logic.ask((budget) => logic.space.meet(arrival, logic.space.existence(character, budget), budget))
        ?.length === 0
    );
  });
}
