import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  LaboratoryCalendarDto,
  NewControlPlanDto,
  PlanApprovalDto,
  PlanDto,
  PlanSummaryDto,
  PlanVersionDto,
} from '../../contract/control-plans.dto.js';
import { type Calendar, checkCalendar } from '../../core/controls/calendar.js';
import { checkPlan, planFor, planInForce, publishedPlan, withClauses } from '../../core/controls/plan.js';
import type { ControlPlan } from '../../core/controls/planned.js';
import type { Problem } from '../../core/protocol/problem.js';
import { effectiveInstant, inForce } from '../../core/protocol/lifecycle.js';
import type { Protocol } from '../../core/protocol/protocol.js';
import { canonicalText, sha256 } from '../../core/record/record.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import { approvedPlans, calendarOf, type KnownPlan, knownPlans } from '../../store/questions/control-plans.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { namesOf } from '../../store/questions/people.js';
import { type KnownRevision, knownRevisions } from '../../store/questions/revisions.js';
import { CalendarRow, ControlPlanActRow, ControlPlanRow } from '../../store/rows/control-plans.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';

@Injectable()
export class ControlPlansService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly signing: Signing,
  ) {}

  list({ laboratoryId }: Acting): Promise<PlanSummaryDto[]> {
    const now = this.clock.now();
    return this.store.read(laboratoryId, async (view) => {
      const revisions = await knownRevisions(view);
      const plans = await knownPlans(view);
      const ids = [...new Set(revisions.map(({ row }) => row.protocolId))];
      return ids.flatMap((id) => {
        const own = revisions.filter(({ row }) => row.protocolId === id);
        const approved = own.filter(({ acts }) => acts.some(({ kind }) => kind === 'approved'));
        if (approved.length === 0) return [];
        return [
          summary(
            own,
            plans.filter(({ row }) => row.protocolId === id),
            now,
          ),
        ];
      });
    });
  }

  read({ laboratoryId }: Acting, protocolId: string): Promise<PlanDto> {
    const now = this.clock.now();
    return this.store.read(laboratoryId, async (view) => {
      const protocol = await needProtocol(view, protocolId, now);
      const plans = await knownPlans(view, protocolId);
      const current = planInForce(approvedPlans(plans), now);
      const names = await namesOf(
        view,
        plans.flatMap(({ row, approval }) => [row.personId, ...(approval ? [approval.personId] : [])]),
      );
      return {
        protocolId,
        title: protocol.title,
        category: protocol.category,
        setting: protocol.setting,
        published: publishedPlan(protocol),
        counting: planFor(protocol, current?.content ?? null),
        versions: plans.map((plan) => versionOf(plan, names, current?.id === plan.row.id)).reverse(),
      };
    });
  }

  async draft(
    acting: Acting,
    protocolId: string,
    { use, controls, note }: NewControlPlanDto,
    key?: string,
  ): Promise<PlanDto> {
    // A class instance carries its absent fields as undefined ones; a plan is plain.
    const wanted = JSON.parse(JSON.stringify({ protocolId, use, controls })) as Parameters<typeof withClauses>[0];
    const write = async (unit: Unit): Promise<string> => {
      const protocol = await needProtocol(unit, protocolId, unit.at);
      const content = withClauses(wanted, protocol);
      refuse(checkPlan(content, protocol), 'faulty-plan', 'The plan cannot be kept like this');
      const before = await knownPlans(unit, protocolId);
      const last = before.at(-1);
      const contentHash = hashOf(content);
      if (last?.row.contentHash === contentHash) {
        throw new Refusal('conflict', 'unchanged', `Nothing differs from plan ${last.row.number}; change it first.`);
      }
      const number = (last?.row.number ?? 0) + 1;
      const { at, personId } = unit;
      const row = await unit.insert(ControlPlanRow, { protocolId, number, content, contentHash, at, personId, note });
      unit.about('control-plan', row.id, { protocol: protocolId, number, contentHash });
      return row.id;
    };
    await this.store.change(acting, 'control-plan.drafted', write, onceOf(key, { ...wanted, note }));
    return this.read(acting, protocolId);
  }

  async approve(
    acting: Acting,
    { protocol: protocolId, number }: { protocol: string; number: number },
    { effectiveFrom: day, reason, password }: PlanApprovalDto,
    key?: string,
  ): Promise<PlanDto> {
    const signer = await this.signing.confirm(acting, password);
    const write = async (unit: Unit): Promise<null> => {
      const row = await unit.need(ControlPlanRow, { protocolId, number }, `plan ${number} for ${protocolId}`);
      const plans = await knownPlans(unit, protocolId);
      refuseStanding(plans, row);
      const protocol = await needProtocol(unit, protocolId, unit.at);
      refuse(
        checkPlan(row.content, protocol),
        'faulty-plan',
        'The protocol changed since, and this plan no longer fits',
      );
      const { zone } = await needLaboratory(unit);
      const effectiveFrom = effectiveInstant(day, unit.at, zone);
      const record = { planId: row.id, contentHash: row.contentHash, effectiveFrom, reason };
      await unit.insert(ControlPlanActRow, {
        planId: row.id,
        kind: 'approved',
        at: unit.at,
        personId: unit.personId,
        effectiveFrom,
        reason,
        signature: signatureOf(signer, 'approval', record, unit.at),
      });
      unit.about('control-plan', row.id, { protocol: protocolId, number, contentHash: row.contentHash, effectiveFrom });
      return null;
    };
    const asked = { protocolId, number, day, reason };
    await this.store.change(acting, 'control-plan.approved', write, onceOf(key, asked));
    return this.read(acting, protocolId);
  }

  async calendar({ laboratoryId }: Acting): Promise<LaboratoryCalendarDto> {
    return shownCalendar(await this.store.read(laboratoryId, calendarOf));
  }

  async setCalendar(acting: Acting, body: LaboratoryCalendarDto, key?: string): Promise<LaboratoryCalendarDto> {
    const content: Calendar = {
      weekdays: body.weekdays.map(({ open }) => (open ? { from: open.from, to: open.to } : null)),
      holidays: body.holidays.map(({ day, name }) => ({ day, name })).sort((a, b) => (a.day < b.day ? -1 : 1)),
    };
    refuse(checkCalendar(content), 'faulty-calendar', 'The calendar cannot be kept like this');
    const write = async (unit: Unit): Promise<null> => {
      const row = await unit.insert(CalendarRow, { content, at: unit.at, personId: unit.personId });
      unit.about('laboratory-calendar', row.id, { holidays: content.holidays.length });
      return null;
    };
    await this.store.change(acting, 'laboratory-calendar.set', write, onceOf(key, content));
    return this.calendar(acting);
  }
}

function shownCalendar({ weekdays, holidays }: Calendar): LaboratoryCalendarDto {
  return { weekdays: weekdays.map((open) => (open ? { open } : {})), holidays };
}

function hashOf(content: ControlPlan): string {
  return sha256(canonicalText(content));
}

function refuse(problems: readonly Problem[], code: string, what: string): void {
  const [first] = problems;
  if (!first) return;
  throw new Refusal(
    'invalid',
    code,
    `${what}: ${first.message}${problems.length > 1 ? `; and ${problems.length - 1} more` : ''}.`,
    problems.map((each) => ({ at: each.path.join('.'), message: each.message })),
  );
}

function refuseStanding(plans: readonly KnownPlan[], row: ControlPlanRow): void {
  const own = plans.find((each) => each.row.id === row.id);
  if (own?.approval) {
    throw new Refusal(
      'conflict',
      'approved-already',
      `Plan ${row.number} was approved already; save a new one to change it.`,
    );
  }
  const newer = plans.find((each) => each.row.number > row.number && each.approval);
  if (newer) {
    throw new Refusal(
      'conflict',
      'superseded',
      `Plan ${newer.row.number}, a newer one, was approved; save this one anew to bring it back.`,
    );
  }
}

/** The content of the protocol's revision in force, else of its newest one. */
async function needProtocol(view: View, protocolId: string, now: Instant): Promise<Protocol> {
  const own = await knownRevisions(view, protocolId);
  const row = (own.find((each) => inForce(each, own, now)) ?? own.at(-1))?.row;
  if (!row) throw new Refusal('not-found', 'not-found', `There is no protocol ${protocolId}.`);
  return row.content;
}

function summary(own: readonly KnownRevision[], plans: readonly KnownPlan[], now: Instant): PlanSummaryDto {
  const current = own.find((each) => inForce(each, own, now));
  const { content, protocolId } = (current ?? (own.at(-1) as KnownRevision)).row;
  const plan = planInForce(approvedPlans(plans), now);
  const waiting = plans.findLast(({ row }) => row.number > (plan?.number ?? 0));
  return {
    protocolId,
    title: content.title,
    category: content.category,
    setting: content.setting,
    inUse: current !== undefined,
    ownPlan: plan?.number ?? null,
    waiting: waiting?.row.number ?? null,
    controls: planFor(content, plan?.content ?? null).controls.filter(({ required }) => required),
  };
}

function versionOf({ row, approval }: KnownPlan, names: Record<string, string>, counts: boolean): PlanVersionDto {
  const { id, number, content, contentHash, at, personId, note } = row;
  return {
    id,
    number,
    content,
    contentHash,
    at,
    person: names[personId] ?? null,
    note,
    effectiveFrom: approval?.effectiveFrom ?? null,
    approvedAt: approval?.at ?? null,
    approvedBy: approval ? (names[approval.personId] ?? null) : null,
    reason: approval?.reason ?? null,
    inForce: counts,
  };
}
