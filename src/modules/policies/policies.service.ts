import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { NewPolicyDto, PoliciesDto, PolicyRevisionDto, RuleDto } from '../../contract/policies.dto.js';
import {
  checkPolicy,
  easedRules,
  type GatePolicy,
  NO_POLICY,
  policyInForce,
  ruleUnder,
} from '../../core/gate/policy.js';
import { type Clause, CLAUSES } from '../../core/gate/clauses.js';
import { RULES, type Rule, type RuleCode } from '../../core/gate/rules.js';
import { effectiveInstant } from '../../core/protocol/lifecycle.js';
import { canonicalText, sha256 } from '../../core/record/record.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { policyAt, signedPolicies } from '../../store/questions/policies.js';
import { GatePolicyRow } from '../../store/rows/policies.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';

@Injectable()
export class PoliciesService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly signing: Signing,
  ) {}

  /** Every rule of the gate, with what it weighs here for a run that starts now. */
  async rules({ laboratoryId }: Acting): Promise<RuleDto[]> {
    const signed = await this.store.read(laboratoryId, (view) => signedPolicies(view));
    const policy = policyAt(signed, this.clock.now());
    return (Object.entries(RULES) as [RuleCode, Rule][]).map(([code, rule]) => ruleHere(code, rule, policy));
  }

  async list({ laboratoryId }: Acting): Promise<PoliciesDto> {
    const signed = await this.store.read(laboratoryId, (view) => signedPolicies(view));
    const current = policyInForce(signed, this.clock.now());
    return { revisions: signed.map((row) => revisionOf(row, row.id === current?.id)).reverse() };
  }

  /** Signs the next revision; refused where it would make a rule weaker than the program has it. */
  async sign(acting: Acting, body: NewPolicyDto, key?: string): Promise<PoliciesDto> {
    const { rules, eases = [], effectiveFrom: day, reason, password } = body;
    // A class instance carries its absent fields as undefined ones; a policy is plain.
    const content = JSON.parse(JSON.stringify({ rules })) as GatePolicy;
    refuseWeaker(content);
    const signer = await this.signing.confirm(acting, password);
    const write = async (unit: Unit): Promise<null> => {
      const before = (await signedPolicies(unit)).at(-1);
      const contentHash = sha256(canonicalText(content));
      if (before?.contentHash === contentHash || (!before && content.rules.length === 0)) {
        const than = before ? `revision ${before.number}` : 'the program’s own rules';
        throw new Refusal('conflict', 'unchanged', `Nothing differs from ${than}; change it first.`);
      }
      refuseSilentEasing(before?.content ?? NO_POLICY, content, eases);
      const { zone } = await needLaboratory(unit);
      const effectiveFrom = effectiveInstant(day, unit.at, zone);
      const number = (before?.number ?? 0) + 1;
      const { at, personId } = unit;
      const decided = { number, contentHash, effectiveFrom, reason, eases };
      const { id } = await unit.insert(GatePolicyRow, {
        ...decided,
        content,
        at,
        personId,
        signature: signatureOf(signer, 'approval', decided, at),
      });
      unit.about('policy', id, { number, contentHash, effectiveFrom });
      return null;
    };
    const asked = { rules: content.rules, eases, day, reason };
    await this.store.change(acting, 'policy.signed', write, onceOf(key, asked));
    return this.list(acting);
  }
}

function ruleHere(code: RuleCode, rule: Rule, policy: GatePolicy): RuleDto {
  const { weight, least, excusable, limits, tightened } = ruleUnder(code, policy);
  return {
    code,
    title: rule.title,
    weight: rule.weight,
    counts: weight,
    least,
    mend: rule.mend,
    source: rule.source,
    serves: rule.serves.map((key) => ({ key, ...(CLAUSES[key] as Clause) })),
    excusable,
    limits,
    tightened,
  };
}

function revisionOf(row: GatePolicyRow, counts: boolean): PolicyRevisionDto {
  const { id, number, content, eases, effectiveFrom, reason, contentHash, signature } = row;
  return {
    id,
    number,
    rules: content.rules.map(({ limits, ...rest }) => ({
      ...rest,
      ...(limits && { limits: limits.map(({ name, value }) => ({ name, value })) }),
    })),
    eases,
    effectiveFrom,
    reason,
    contentHash,
    signature,
    inForce: counts,
  };
}

function refuseWeaker(content: GatePolicy): void {
  const problems = checkPolicy(content);
  const [first] = problems;
  if (!first) return;
  const more = problems.length > 1 ? `; and ${problems.length - 1} more` : '';
  throw new Refusal(
    'invalid',
    'faulty-policy',
    `The policy cannot be kept like this: ${first.message}${more}.`,
    problems,
  );
}

/** What was tightened before may be eased again, never below the program's own rule and never without saying so. */
function refuseSilentEasing(before: GatePolicy, after: GatePolicy, named: readonly string[]): void {
  const eased = easedRules(before, after);
  const unsaid = eased.filter((code) => !named.includes(code));
  if (unsaid.length > 0) {
    const message = `This makes ${unsaid.join(', ')} less strict than the revision before; name each under "eases", and give the reason.`;
    throw new Refusal('conflict', 'eases-unsaid', message, [{ at: 'eases', message }]);
  }
  const idle = named.filter((code) => !eased.includes(code));
  if (idle.length > 0) {
    const message = `${idle.join(', ')} would not become less strict than in the revision before; leave it out of "eases".`;
    throw new Refusal('invalid', 'eases-nothing', message, [{ at: 'eases', message }]);
  }
}
