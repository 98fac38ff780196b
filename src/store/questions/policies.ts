import { LessThanOrEqual } from 'typeorm';
import { type GatePolicy, NO_POLICY, policyInForce } from '../../core/gate/policy.js';
import type { Instant } from '../../core/time/instant.js';
import { GatePolicyRow } from '../rows/policies.entity.js';
import type { View } from '../view.js';
import { ALL_KNOWN } from './containers.js';

/** Every signed revision of the laboratory's policy, by number, from facts up to a record number. */
export function signedPolicies(view: View, upToSeq: number = ALL_KNOWN): Promise<GatePolicyRow[]> {
  return view.all(GatePolicyRow, { seq: LessThanOrEqual(upToSeq) }, { order: { number: 'ASC' } });
}

/** What the laboratory had tightened at an instant. */
export function policyAt(signed: readonly GatePolicyRow[], at: Instant): GatePolicy {
  return policyInForce(signed, at)?.content ?? NO_POLICY;
}
