import { In } from 'typeorm';
import { type ApprovedPlan, offeredControls, planFor, planInForce } from '../../core/controls/plan.js';
import type { Protocol } from '../../core/protocol/protocol.js';
import { RevisionRow } from '../rows/protocols.entity.js';
import { LotRow } from '../rows/stock.entity.js';
import type { ControlResult } from '../../core/controls/result.js';
import type { View } from '../view.js';
import { approvedPlans, knownPlans } from './control-plans.js';
import { namesOf } from './people.js';
import { subjectsOf } from './subjects.js';

/** What stands beside results on a page. */
export interface ResultDetails {
  /** Protocols by id, as the revision of a result or the latest one says. */
  protocols: Map<string, Protocol>;
  /** The laboratory's own plans. */
  plans: ApprovedPlan[];
  /** Text of a control's label by its id. */
  labels: Map<string, string>;
  /** Names of people by id. */
  names: Record<string, string>;
}

/** Titles, labels and names for results, a few queries however many there are. */
export async function resultDetails(view: View, results: readonly ControlResult[]): Promise<ResultDetails> {
  const revisionIds = [...new Set(results.flatMap(({ revisionId }) => revisionId ?? []))];
  const alone = [
    ...new Set(results.filter(({ revisionId }) => revisionId === null).map(({ protocolId }) => protocolId)),
  ];
  const revisions = [
    ...(await view.all(RevisionRow, { protocolId: In(alone) }, { order: { number: 'ASC' } })),
    ...(await view.all(RevisionRow, { id: In(revisionIds) }, { order: { number: 'ASC' } })),
  ];
  const subjects = await subjectsOf(view, [...new Set(results.flatMap(({ subjectId }) => subjectId ?? []))]);
  return {
    plans: approvedPlans(await knownPlans(view)),
    protocols: new Map(revisions.map(({ protocolId, content }) => [protocolId, content])),
    labels: new Map(subjects.map(({ id, label }) => [id, label])),
    names: await namesOf(
      view,
      results.flatMap(({ readings }) => readings.map(({ personId }) => personId)),
    ),
  };
}

/** What a control was expected to show by the plan that counted when it was stained; null when nobody says. */
export function expectedOf(
  { protocolId, requirement, stainedAt }: ControlResult,
  { protocols, plans }: ResultDetails,
): string | null {
  const protocol = protocols.get(protocolId);
  if (!protocol) return null;
  const own = plans.filter(({ content }) => content.protocolId === protocolId);
  const plan = planFor(protocol, planInForce(own, stainedAt)?.content ?? null);
  return offeredControls(protocol, plan).find(({ id }) => id === requirement)?.expected ?? null;
}

/** Numbers and sources of lots by id. */
export async function lotNames(
  view: View,
  ids: readonly string[],
): Promise<Map<string, Pick<LotRow, 'number' | 'source'>>> {
  const lots = await view.all(LotRow, { id: In([...new Set(ids)]) });
  return new Map(lots.map((lot) => [lot.id, lot]));
}
