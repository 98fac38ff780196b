import type { ContainerFacts } from '../../core/lot/facts.js';
import type {
  ContainerHold,
  ContainerState,
  HoldKind,
  IntendedUse,
  Limit,
  LotEvidence,
  LotStanding,
} from '../../core/lot/lot.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import type { Instant } from '../../core/time/instant.js';
import { BathActRow, BathRow, BathUseRow } from '../rows/preparations.entity.js';
import { ContainerActRow, ContainerRow, HoldEndRow, HoldRow, LotActRow, ReagentRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';
import { bathFacts } from './bath-facts.js';

/** More than any record holds: all that is known. */
export const ALL_KNOWN = 2_147_483_647;

/** Whether there is a container of that id. */
export async function knownContainer(view: View, id: string): Promise<boolean> {
  return (await view.recall(`container ${id}`, () => view.one(ContainerRow, { id }))) !== null;
}

/**
 * What is known about containers from facts up to a record number, in the order asked; ids that were unknown by then are
 * left out. A handful of queries, however many containers; by hand, since every scan and every judgement asks them.
 */
export function containerFacts(
  view: View,
  containerIds: readonly string[],
  upToSeq?: number,
): Promise<ContainerFacts[]> {
  const ids = [...new Set(containerIds)];
  if (ids.length === 0) return Promise.resolve([]);
  if (upToSeq !== undefined) return loadFacts(view, ids, upToSeq);
  return view.recallLive(`containers ${ids.join(' ')}`, OF_CONTAINERS, () => loadFacts(view, ids, ALL_KNOWN));
}

const OF_CONTAINERS = [
  ContainerRow,
  LotActRow,
  ContainerActRow,
  HoldRow,
  HoldEndRow,
  ReagentRow,
  BathRow,
  BathActRow,
  BathUseRow,
];

async function loadFacts(view: View, ids: readonly string[], upToSeq: number): Promise<ContainerFacts[]> {
  const containers = await ask<StoredContainer>(view, upToSeq, CONTAINERS, ids);
  const lotIds = [...new Set(containers.map(({ lotId }) => lotId))];
  const decisions = lotIds.length === 0 ? [] : await ask<StoredDecision>(view, upToSeq, DECISIONS, lotIds);
  const changes = await ask<StoredChange>(view, upToSeq, CHANGES, ids);
  const holds = await ask<StoredHold>(view, upToSeq, HOLDS, ids);
  const standIns = await acceptedAs(view, upToSeq);
  const baths = await bathFacts(
    view,
    containers.flatMap(({ id, vessel }) => (vessel === 'bath' ? [id] : [])),
    upToSeq,
  );
  const byId = new Map(
    containers.map((container): [string, ContainerFacts] => {
      const { id, label, reagent, lotId, number, limits, intendedUse, kit, kitLot } = container;
      const own = changes.filter(({ containerId }) => containerId === id);
      const decided = decisions.filter((each) => each.lotId === lotId);
      const verifiedAt = decided.filter(restsOnVerification).map(({ at }) => at);
      const ownHolds = holds.filter(({ containerId }) => containerId === id).map(asHold);
      const instead = standIns.get(reagent);
      const bath = baths.get(id);
      return [
        id,
        {
          id,
          label,
          reagent,
          ...(instead && { acceptedAs: instead }),
          lot: {
            id: lotId,
            number,
            standing: decided.map(({ at, standing, seq }) => ({ at, standing, seq })),
            ...(intendedUse !== null && { intendedUse }),
            ...(verifiedAt.length > 0 && { verifiedAt }),
            ...(kit !== null && kitLot !== null && { kit: { name: kit, lot: kitLot } }),
          },
          states: own.map(({ at, state }) => ({ at, state })),
          limits: [
            ...(JSON.parse(limits) as Limit[]),
            ...own.flatMap(({ until }) => (until === null ? [] : [{ by: 'opened' as const, until }])),
            ...(bath?.added ?? []),
          ],
          ...(bath && { bath: bath.facts }),
          ...(ownHolds.length > 0 && { holds: ownHolds }),
        },
      ];
    }),
  );
  return ids.flatMap((id) => byId.get(id) ?? []);
}

interface StoredContainer {
  id: string;
  label: string;
  reagent: string;
  lotId: string;
  number: string;
  limits: string;
  intendedUse: IntendedUse | null;
  kit: string | null;
  kitLot: string | null;
  vessel: 'bath' | null;
}
const CONTAINERS = `SELECT container.id, container.label, lot.reagent_code AS reagent, lot.id AS "lotId", lot.number, lot.limits,
  lot.intended_use AS "intendedUse", lot.kit, lot.kit_lot AS "kitLot", container.vessel
  FROM container JOIN lot ON lot.id = container.lot_id
  WHERE container.laboratory_id = $1 AND container.seq <= $2 AND container.id IN (:ids)`;

interface StoredDecision {
  lotId: string;
  at: Instant;
  standing: LotStanding;
  seq: number;
  evidence: string | null;
}
const DECISIONS = `SELECT lot_id AS "lotId", at, standing, seq, evidence FROM lot_act
  WHERE laboratory_id = $1 AND seq <= $2 AND lot_id IN (:ids) ORDER BY at, seq, id`;

interface StoredChange {
  containerId: string;
  at: Instant;
  state: ContainerState;
  until: Instant | null;
}
const CHANGES = `SELECT container_id AS "containerId", at, state, until FROM container_act
  WHERE laboratory_id = $1 AND seq <= $2 AND container_id IN (:ids) ORDER BY at, seq, id`;

function restsOnVerification({ standing, evidence }: StoredDecision): boolean {
  if (standing !== 'accepted' || evidence === null) return false;
  return (JSON.parse(evidence) as LotEvidence).kind === 'verification';
}

interface StoredHold {
  containerId: string;
  at: Instant;
  kind: HoldKind;
  reason: string;
  decidedAt: Instant | null;
  /** A number on SQLite, a boolean on PostgreSQL. */
  usable: boolean | number | null;
}
const HOLDS = `SELECT hold.container_id AS "containerId", hold.at, hold.kind, hold.reason, hold_end.at AS "decidedAt", hold_end.usable
  FROM hold LEFT JOIN hold_end ON hold_end.hold_id = hold.id AND hold_end.laboratory_id = $1 AND hold_end.seq <= $2
  WHERE hold.laboratory_id = $1 AND hold.seq <= $2 AND hold.container_id IN (:ids) ORDER BY hold.at, hold.seq, hold.id`;

function asHold({ at, kind, reason, decidedAt, usable }: StoredHold): ContainerHold {
  return { kind, from: at, reason, decided: decidedAt === null ? null : { at: decidedAt, usable: Boolean(usable) } };
}

/** The newest entry of each reagent that may stand in for others. */
const STAND_INS = `SELECT code, content FROM reagent WHERE laboratory_id = $1 AND seq <= $2 AND content LIKE '%"acceptedInstead"%'
  AND NOT EXISTS (SELECT 1 FROM reagent later WHERE later.laboratory_id = reagent.laboratory_id AND later.code = reagent.code
    AND later.seq > reagent.seq AND later.seq <= $2)
  ORDER BY code`;

async function ask<T>(view: View, upToSeq: number, sql: string, ids: readonly string[] = []): Promise<T[]> {
  const places = ids.map((_, n) => `$${n + 3}`).join(', ');
  return (await (await view.ready()).query(sql.replace(':ids', places), [view.laboratoryId, upToSeq, ...ids])) as T[];
}

/** For each reagent that may stand in for others, their codes, by the catalogue as it stood then. */
async function acceptedAs(view: View, upToSeq: number): Promise<Map<string, string[]>> {
  const found = new Map<string, string[]>();
  for (const { code, content } of await ask<{ code: string; content: string }>(view, upToSeq, STAND_INS)) {
    for (const other of (JSON.parse(content) as Reagent).acceptedInstead ?? []) {
      found.set(other, [...(found.get(other) ?? []), code]);
    }
  }
  return found;
}
