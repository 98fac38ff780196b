import { LessThanOrEqual } from 'typeorm';
import { ALWAYS_OPEN, type Calendar } from '../../core/controls/calendar.js';
import { type ApprovedPlan, offeredControls, planFor, planInForce } from '../../core/controls/plan.js';
import type { PlannedControl } from '../../core/controls/planned.js';
import type { Protocol } from '../../core/protocol/protocol.js';
import type { Instant } from '../../core/time/instant.js';
import { CalendarRow, ControlPlanActRow, ControlPlanRow } from '../rows/control-plans.entity.js';
import type { View } from '../view.js';
import { ALL_KNOWN } from './containers.js';

/** A laboratory's own plan with its approval, if it has one. */
export interface KnownPlan {
  row: ControlPlanRow;
  approval: ControlPlanActRow | null;
}

/** The laboratory's own plans of a protocol, or of all, by protocol and number, from facts up to a record number. */
export async function knownPlans(view: View, protocolId?: string, upToSeq = ALL_KNOWN): Promise<KnownPlan[]> {
  const seq = LessThanOrEqual(upToSeq);
  const rows = await view.all(ControlPlanRow, { seq, ...(protocolId === undefined ? {} : { protocolId }) }, BY_NUMBER);
  if (rows.length === 0) return [];
  const acts = await view.all(ControlPlanActRow, { seq }, { order: { seq: 'ASC' } });
  const approvals = new Map(acts.map((act) => [act.planId, act]));
  return rows.map((row) => ({ row, approval: approvals.get(row.id) ?? null }));
}

const BY_NUMBER = { order: { protocolId: 'ASC' as const, number: 'ASC' as const } };

/** Those of the plans that were approved. */
export function approvedPlans(plans: readonly KnownPlan[]): ApprovedPlan[] {
  return plans.flatMap(({ row, approval }) =>
    approval
      ? [
          {
            id: row.id,
            number: row.number,
            content: row.content,
            effectiveFrom: approval.effectiveFrom,
            seq: approval.seq,
          },
        ]
      : [],
  );
}

/** The controls that a run of a protocol which started at an instant may carry. */
export async function controlsOffered(view: View, protocol: Protocol, at: Instant): Promise<PlannedControl[]> {
  const approved = await view.recallLive(`plans ${protocol.id}`, [ControlPlanRow, ControlPlanActRow], async () =>
    approvedPlans(await knownPlans(view, protocol.id)),
  );
  return offeredControls(protocol, planFor(protocol, planInForce(approved, at)?.content ?? null));
}

/** When the laboratory is open; always, until it says otherwise. */
export async function calendarOf(view: View): Promise<Calendar> {
  const [last] = await view.all(CalendarRow, {}, { order: { seq: 'DESC' }, take: 1 });
  return last?.content ?? ALWAYS_OPEN;
}
