import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  NewContainerStateDto,
  ContainerDto,
  NewLotDecisionDto,
  LotChoiceDto,
  LotListDto,
  LotQueryDto,
  LotDto,
  NewLotDto,
} from '../../contract/stock.dto.js';
import { lotShown } from '../../core/find/lists.js';
import { checkEvidence } from '../../core/lot/evidence.js';
import type { LotEvidence } from '../../core/lot/lot.js';
import { checkStateChange, openedUntil } from '../../core/lot/receive.js';
import { Refusal } from '../../core/refusal.js';
import { type Instant, readInstant } from '../../core/time/instant.js';
import { book } from '../../store/acts/book.js';
import { decideLot } from '../../store/acts/decide-lot.js';
import { questionReleases } from '../../store/acts/question-releases.js';
import { receiveLot } from '../../store/acts/receive-lot.js';
import { recallLot } from '../../store/acts/recall-lot.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { onHandOf } from '../../store/questions/ledger.js';
import { knownLots, type KnownLot } from '../../store/questions/lots.js';
import { catalogue } from '../../store/questions/reagents.js';
import { FileRow } from '../../store/rows/files.entity.js';
import { RunRow } from '../../store/rows/runs.entity.js';
import { StudyRow } from '../../store/rows/studies.entity.js';
import { ContainerActRow, ContainerRow, LotRow } from '../../store/rows/stock.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';
import { A_PAGE, pagesOf } from '../http/csv-file.js';
import type { NamedLot } from './lot-columns.js';
import { containerView, lotView } from './views.js';

@Injectable()
export class StockService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  async list({ laboratoryId }: Acting, { reagent, number, take, after }: LotQueryDto): Promise<LotListDto> {
    const choice = {
      ...(reagent === undefined ? {} : { reagentCode: reagent }),
      ...(number === undefined ? {} : { number }),
    };
    const lots = await this.store.read(laboratoryId, (view) => knownLots(view, choice, { take, after }));
    const now = this.clock.now();
    return {
      items: lots.map((lot) => lotView(lot, now)),
      next: lots.length === take ? (lots.at(-1)?.row.id ?? null) : null,
    };
  }

  /** Lots with the names of their reagents, narrowed, part by part. */
  async *listed(acting: Acting, { find = '', show, ...choice }: LotChoiceDto): AsyncGenerator<NamedLot[]> {
    const reagents = await this.store.read(acting.laboratoryId, catalogue);
    const names = new Map(reagents.map(({ code, name }) => [code, name]));
    for await (const lots of pagesOf((after) => this.list(acting, { ...choice, take: A_PAGE, after }))) {
      yield lots
        .map((lot) => ({ ...lot, name: names.get(lot.reagent) ?? lot.reagent }))
        .filter((lot) => lotShown(lot, lot.name, { find, show }));
    }
  }

  async lot({ laboratoryId }: Acting, id: string): Promise<LotDto> {
    return lotView(await this.store.read(laboratoryId, (view) => needLot(view, id)), this.clock.now());
  }

  /** A container by its id or by our own label on it. */
  async container({ laboratoryId }: Acting, by: { id: string } | { label: string }): Promise<ContainerDto> {
    const now = this.clock.now();
    const called = 'id' in by ? `container ${by.id}` : `container with the label ${by.label}`;
    return this.store.read(laboratoryId, async (view) => {
      const { id, lotId } = await view.need(ContainerRow, by, called);
      return containerOf(await needLot(view, lotId), id, now);
    });
  }

  /** Takes one shipment of a supplied lot into stock. */
  async receive(acting: Acting, body: NewLotDto, key?: string): Promise<LotDto> {
    const write = async (unit: Unit): Promise<string> => {
      const { id, reagentCode: reagent, number } = await receiveLot(unit, body);
      unit.about('lot', id, { reagent, number });
      return id;
    };
    return this.lot(acting, await this.store.change(acting, 'lot.received', write, onceOf(key, body)));
  }

  async decide(acting: Acting, id: string, body: NewLotDecisionDto, key?: string): Promise<LotDto> {
    const { standing, reason, evidence } = body;
    if (evidence) checkEvidence(evidence);
    const write = async (unit: Unit): Promise<null> => {
      await needLot(unit, id);
      if (evidence) await refuseUnknownEvidence(unit, id, evidence);
      if (standing === 'recalled') await recallLot(unit, { lotId: id }, { reason });
      else await decideLot(unit, id, { standing, reason, evidence: evidence ? { ...evidence } : null });
      unit.about('lot', id, { standing, ...(evidence && { evidence: { ...evidence } }) });
      return null;
    };
    await this.store.change(acting, 'lot.decided', write, onceOf(key, { id, ...body }));
    return this.lot(acting, id);
  }

  async setState(acting: Acting, id: string, body: NewContainerStateDto, key?: string): Promise<ContainerDto> {
    const { state, reason } = body;
    const write = async (unit: Unit): Promise<null> => {
      const container = await unit.need(ContainerRow, { id }, `container ${id}`);
      const lot = await unit.need(LotRow, { id: container.lotId }, `lot ${container.lotId}`);
      const states = await unit.all(ContainerActRow, { containerId: id }, { order: { seq: 'ASC', id: 'ASC' } });
      const at = body.at === undefined ? unit.at : readInstant(body.at);
      checkStateChange({ state, at }, { label: container.label, receivedAt: lot.receivedAt, states }, unit.at);
      if (state === 'discarded' && reason === undefined) {
        throw refused('no-reason', 'reason', 'reason is missing; say why it is discarded, such as cloudy or expired.');
      }
      const { zone } = await needLaboratory(unit);
      const until = state === 'opened' && lot.openedLife !== null ? openedUntil(at, lot.openedLife, zone) : null;
      const { personId } = unit.actor;
      await unit.insert(ContainerActRow, { containerId: id, at, personId, state, until, reason: reason ?? null });
      if (state !== 'opened') await bookRemainder(unit, id, state, at, reason);
      await questionReleases(
        unit,
        {
          cause: 'container state corrected',
          causeId: id,
          reason: `Container ${container.label} was ${state} at ${at}${reason === undefined ? '.' : `: ${reason}`}`,
          path: `/stock/${lot.id}`,
        },
        { containers: [id], since: at },
      );
      unit.about('container', id, { state, at });
      return null;
    };
    await this.store.change(acting, `container.${state}`, write, onceOf(key, { id, ...body }));
    return this.container(acting, { id });
  }
}

async function needLot(view: View, id: string): Promise<KnownLot> {
  const [lot] = await knownLots(view, { id }, { take: 1 });
  if (!lot) throw new Refusal('not-found', 'not-found', `There is no lot ${id}.`);
  return lot;
}

function containerOf(lot: KnownLot, id: string, now: string): ContainerDto {
  const found = lot.containers.find(({ row }) => row.id === id);
  if (!found) throw new Error(`container ${id} is not among those of its lot ${lot.row.id}`);
  return containerView(found, lot.unit, now);
}

/** What is left of a container goes with it: what was thrown away is waste, what was used up unbooked is a correction. */
async function bookRemainder(
  unit: Unit,
  containerId: string,
  state: 'emptied' | 'discarded',
  at: Instant,
  reason: string | undefined,
): Promise<void> {
  const left = await onHandOf(unit, containerId);
  if (left === 0) return;
  const booked = { containerId, micro: -left, at };
  if (state === 'discarded') await book(unit, { ...booked, kind: 'discarded', reason: reason ?? 'discarded' });
  else await book(unit, { ...booked, kind: 'adjusted', reason: reason ?? 'emptied: used up without being booked' });
}

async function refuseUnknownEvidence(
  unit: Unit,
  lotId: string,
  { fileId, runId, studyId }: LotEvidence,
): Promise<void> {
  if (fileId !== undefined && !(await unit.one(FileRow, { id: fileId }))) {
    throw refused('unknown-file', 'evidence.fileId', `There is no file ${fileId}; keep the file first, then name it.`);
  }
  if (runId !== undefined && !(await unit.one(RunRow, { id: runId }))) {
    throw refused('unknown-run', 'evidence.runId', `There is no run ${runId}; name the run in which it was stained.`);
  }
  if (studyId === undefined) return;
  const at = 'evidence.studyId';
  const study = await unit.one(StudyRow, { id: studyId });
  if (!study) throw refused('unknown-study', at, `There is no study ${studyId}; name the comparison of the lots.`);
  if (study.lotId !== lotId) {
    throw refused('study-of-another', at, `Study ${studyId} tested another lot; name one that tested this lot.`);
  }
}

function refused(code: string, at: string, message: string): Refusal {
  return new Refusal('invalid', code, message, [{ at, message }]);
}
