import type { Finding, Level, Path } from '../diagnostic/finding.js';
import { Logic } from '../engine/logic.js';
import type { Chain } from '../key/chain.js';
import type { Key } from '../key/key.js';
import { harmless } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import { withoutProposals } from './review.js';
import type { Rule, RuleContext, Said } from './rule.js';

/** The results of running rules over a key with its chain. */
interface RuleRun {
  readonly findings: readonly Finding[];
  /** The rules that needed the chain or its logic and did not get it. */
  readonly notRun: readonly string[];
}

/** A rule that is to be run; `level` is set where its findings have another level than they come with. */
export interface Planned {
  readonly rule: Rule;
  readonly level: Level | undefined;
}

/** Runs rules over a key and the keys it continues in. A rule that fails is itself a finding. `lacking` looks at the disk. */
export function runRules(
  key: Key,
  chain: Chain | undefined,
  rules: readonly Planned[],
  lacking: RuleContext['lacking'] = () => undefined,
): RuleRun {
  const findings: Finding[] = [];
  const notRun: string[] = [];
  const known = new Map<Chain, Logic>();
  const logicOf = (whole: Chain): Logic => {
    const logic = known.get(whole) ?? new Logic(whole);
    known.set(whole, logic);
    return logic;
  };
  const reviewed = chain === undefined ? undefined : withoutProposals(chain);
  for (const { rule, level } of rules) {
    let missed = false;
    const reportIn = (where: Key, path: Path, said: Said): void => {
      if (isUnread(where, path)) return;
      findings.push(findingOf(rule, level, where, path, said));
    };
    const context: RuleContext = {
      key,
      get chain() {
        missed ||= chain === undefined;
        return chain;
      },
      get logic() {
        missed ||= chain === undefined;
        return reviewed === undefined ? undefined : logicOf(reviewed);
      },
      get asProposed() {
        return chain === undefined || chain === reviewed ? undefined : logicOf(chain);
      },
      lacking,
      reportIn,
      report: (path, said) => reportIn(key, path, said),
    };
    try {
      rule.check?.(context);
    } catch (error) {
      findings.push(failureOf(rule, key, error));
    }
    if (missed) notRun.push(rule.id);
  }
  return { findings, notRun };
}

/**
 * Whether a path is that of a lead whose condition cannot be read, or of the couplet of one: what would be said of it rests
 * on a condition that is not what the author meant.
 */
function isUnread(key: Key, [section, id, lead]: Path): boolean {
  if (section !== 'couplets') return false;
  const leads = key.couplets.get(String(id))?.leads ?? [];
  return lead === undefined ? leads.some((l) => l.unread) : leads[Number(lead)]?.unread === true;
}

function findingOf(rule: Rule, level: Level | undefined, key: Key, path: Path, said: Said): Finding {
  const { side = 'value', message, witness, level: own, ...rest } = said;
  return {
    ...rest,
    rule: rule.id,
    level: level ?? own ?? rule.level,
    message: harmless(message),
    place: key.yaml.place(path, side),
    ...defined({
      witness: witness && harmless(witness),
      related: rest.related?.map((r) => ({ ...r, message: harmless(r.message) })),
    }),
  };
}

function failureOf(rule: Rule, key: Key, error: unknown): Finding {
  const reason = String(error instanceof Error ? error.message : error).split('\n', 1)[0] ?? '';
  return {
    rule: rule.id,
    level: 'error',
    message: harmless(
      `the rule ${rule.id} failed, which is a fault of keywright: ${reason} (please report it with the key)`,
    ),
    place: key.yaml.place([]),
  };
}
