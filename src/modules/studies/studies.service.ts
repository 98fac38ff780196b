import { Injectable } from '@nestjs/common';
import type {
  NewExclusionDto,
  NewPairDto,
  NewPairsDto,
  NewStudyDecisionDto,
  NewStudyDto,
  StudyDto,
  StudyListDto,
  StudyQueryDto,
} from '../../contract/studies.dto.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import { deviationOf } from '../../core/study/acceptance.js';
import { decideLot } from '../../store/acts/decide-lot.js';
import { type KnownStudy, knownStudies } from '../../store/questions/studies.js';
import { MeasurementRow, PictureRow } from '../../store/rows/pictures.entity.js';
import { RevisionRow } from '../../store/rows/protocols.entity.js';
import { ReleaseRow, RunRow } from '../../store/rows/runs.entity.js';
import { LotRow } from '../../store/rows/stock.entity.js';
import { StudyDecisionRow, StudyExclusionRow, StudyPairRow, StudyRow } from '../../store/rows/studies.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';
import { criteriaOf, designOf, refused, scaleOf } from './design.js';
import { resultsOf, studyView } from './views.js';

@Injectable()
export class StudiesService {
  constructor(
    private readonly store: Store,
    private readonly signing: Signing,
  ) {}

  async list({ laboratoryId }: Acting, { take, after, lotId }: StudyQueryDto): Promise<StudyListDto> {
    const known = await this.store.read(laboratoryId, (view) =>
      knownStudies(view, { take, after, ...(lotId !== undefined && { lotId }) }),
    );
    return { items: known.map(studyView), next: known.length === take ? (known.at(-1)?.row.id ?? null) : null };
  }

  async study({ laboratoryId }: Acting, id: string): Promise<StudyDto> {
    return studyView(await this.store.read(laboratoryId, (view) => needStudy(view, id)));
  }

  async plan(acting: Acting, body: NewStudyDto, key?: string): Promise<StudyDto> {
    const { lotId, oldLotId, protocolId, kind, measurand } = body;
    const rest = { ...scaleOf(body), design: designOf(body.design), criteria: criteriaOf(kind, body.criteria) };
    const write = async (unit: Unit): Promise<string> => {
      await checkLots(unit, lotId, oldLotId);
      if (!(await unit.one(RevisionRow, { protocolId }))) {
        throw refused('unknown-protocol', 'protocolId', `There is no protocol ${protocolId} here.`);
      }
      const { at, personId } = unit;
      const { id } = await unit.insert(StudyRow, {
        lotId,
        oldLotId,
        protocolId,
        kind,
        measurand,
        ...rest,
        at,
        personId,
      });
      unit.about('study', id, { lot: lotId, old: oldLotId, kind, pairs: rest.design.pairs });
      return id;
    };
    return this.study(acting, await this.store.change(acting, 'study.planned', write, onceOf(key, body)));
  }

  async add(acting: Acting, id: string, { pairs }: NewPairsDto, key?: string): Promise<StudyDto> {
    const write = async (unit: Unit): Promise<null> => {
      const study = await openStudy(unit, id);
      for (const [i, pair] of pairs.entries()) await addPair(unit, study, pair, `pairs.${i}`);
      unit.about('study', id, { pairs: pairs.length });
      return null;
    };
    await this.store.change(acting, 'study.pairs-added', write, onceOf(key, { id, pairs }));
    return this.study(acting, id);
  }

  async exclude(
    acting: Acting,
    id: string,
    pairId: string,
    { reason }: NewExclusionDto,
    key?: string,
  ): Promise<StudyDto> {
    const write = async (unit: Unit): Promise<null> => {
      const { pairs } = await openStudy(unit, id);
      const pair = pairs.find(({ row }) => row.id === pairId);
      if (!pair) throw new Refusal('not-found', 'not-found', `There is no pair ${pairId} in this study.`);
      if (pair.exclusion) throw new Refusal('conflict', 'unchanged', `${pair.row.material} is left out already.`);
      const { at, personId } = unit;
      await unit.insert(StudyExclusionRow, { pairId, reason, at, personId });
      unit.about('study', id, { excluded: pairId });
      return null;
    };
    await this.store.change(acting, 'study.pair-excluded', write, onceOf(key, { id, pairId, reason }));
    return this.study(acting, id);
  }

  /** Signs the end of a study; the lot's standing changes with it, or neither does. */
  async decide(acting: Acting, id: string, body: NewStudyDecisionDto, key?: string): Promise<StudyDto> {
    const { standing, reason, deviation = null, password } = body;
    const signer = await this.signing.confirm(acting, password);
    const write = async (unit: Unit): Promise<null> => {
      const study = await openStudy(unit, id);
      const results = resultsOf(study);
      if (!results) {
        throw new Refusal('conflict', 'too-few', 'Fewer than three pairs count; nothing can be decided by them.');
      }
      const { row, pairs } = study;
      if (deviation === null) refuseDeviation(deviationOf(row.design, results, standing));
      const signed = {
        study: row,
        standing,
        reason,
        deviation,
        results,
        pairs: pairs.map(({ row: pair, exclusion }) => ({ pair, excluded: exclusion?.reason ?? null })),
      };
      const signature = signatureOf(signer, standing === 'accepted' ? 'approval' : 'responsibility', signed, unit.at);
      await unit.insert(StudyDecisionRow, {
        studyId: id,
        standing,
        reason,
        deviation,
        results,
        at: unit.at,
        signature,
      });
      await decideLot(unit, row.lotId, { standing, reason, evidence: { kind: 'parallel test', studyId: id } });
      unit.about('study', id, { standing, lot: row.lotId, met: results.met, pairs: results.n });
      return null;
    };
    await this.store.change(acting, 'study.decided', write, onceOf(key, { id, ...body }));
    return this.study(acting, id);
  }
}

function refuseDeviation(message: string | null): void {
  if (message !== null) throw refused('deviation', 'deviation', message);
}

async function needStudy(view: View, id: string): Promise<KnownStudy> {
  const [study] = await knownStudies(view, { id, take: 1 });
  if (!study) throw new Refusal('not-found', 'not-found', `There is no study ${id}.`);
  return study;
}

async function openStudy(unit: Unit, id: string): Promise<KnownStudy> {
  const study = await needStudy(unit, id);
  if (!study.decision) return study;
  throw new Refusal('conflict', 'decided', `This study was decided at ${study.decision.at}; plan a new one.`);
}

async function checkLots(unit: Unit, lotId: string, oldLotId: string): Promise<void> {
  const [lot, old] = [
    await unit.need(LotRow, { id: lotId }, `lot ${lotId}`),
    await unit.need(LotRow, { id: oldLotId }, `lot ${oldLotId}`),
  ];
  if (lot.id === old.id)
    throw refused('same-lot', 'oldLotId', 'A lot is compared with another one; name the lot in use.');
  if (lot.reagentCode === old.reagentCode) return;
  throw refused(
    'other-reagent',
    'oldLotId',
    `Lot ${lot.number} is ${lot.reagentCode} and lot ${old.number} is ${old.reagentCode}; compare lots of one reagent.`,
  );
}

async function addPair(unit: Unit, { row: study, pairs }: KnownStudy, pair: NewPairDto, at: string): Promise<void> {
  const { material, oldRunId = null, newRunId = null } = pair;
  if (pairs.some(({ row, exclusion }) => row.material === material && !exclusion)) {
    throw refused(
      'material-twice',
      `${at}.material`,
      `${material} has a pair already; leave that one out first, or mend the label.`,
    );
  }
  for (const [field, runId] of Object.entries({ oldRunId, newRunId })) {
    if (runId !== null) await checkRun(unit, runId, `${at}.${field}`);
  }
  const [old, fresh] = [
    await valueOf(unit, study, { value: pair.old, pictureId: pair.oldPictureId }, `${at}.old`),
    await valueOf(unit, study, { value: pair.new, pictureId: pair.newPictureId }, `${at}.new`),
  ];
  await unit.insert(StudyPairRow, {
    studyId: study.id,
    material,
    oldValue: old.value,
    newValue: fresh.value,
    oldRunId,
    newRunId,
    oldFileId: old.fileId,
    newFileId: fresh.fileId,
    at: unit.at,
    personId: unit.personId,
  });
  pairs.push({ row: { material } as StudyPairRow, exclusion: null });
}

/** A lot that is not decided on yet may stain controls in a run for accepting it, and a patient's slide only while nothing is released. */
async function checkRun(unit: Unit, runId: string, at: string): Promise<void> {
  const run = await unit.one(RunRow, { id: runId });
  if (!run) throw refused('unknown-run', at, `There is no run ${runId}.`);
  if (run.purpose === 'acceptance') return;
  if (run.purpose === 'training') {
    throw refused('other-purpose', at, 'This run was for training; name one for accepting a lot, or for patients.');
  }
  if (!(await unit.one(ReleaseRow, { runId }))) return;
  throw refused(
    'released',
    at,
    'A result of this run was released already; name a run for accepting a lot, or for patients whose release still waits.',
  );
}

/** As it was given, or as a picture was measured. */
async function valueOf(
  unit: Unit,
  { kind, categories, metric }: StudyRow,
  { value, pictureId }: { value: number | undefined; pictureId: string | undefined },
  at: string,
): Promise<{ value: number; fileId: string | null }> {
  if ((value === undefined) === (pictureId === undefined)) {
    throw refused('no-value', at, 'Give a value or a measured picture, one of them.');
  }
  if (pictureId !== undefined) return measuredIn(unit, metric, pictureId, `${at}PictureId`);
  if (value === undefined) throw new Error('unreachable: one of them was given');
  const count = categories?.length ?? 0;
  if (kind !== 'numeric' && !(Number.isInteger(value) && value >= 0 && value < count)) {
    throw refused('no-such-category', at, `${value} is none of the ${count} categories, counted from 0.`);
  }
  if (Math.abs(value) > LARGEST)
    throw refused('bad-result', at, `${value} is no reading; give a number within 1e12 of 0.`);
  return { value, fileId: null };
}

/** No reading of a bench is larger; what is came from a slip of the keys or a wrong unit. */
const LARGEST = 1e12;

async function measuredIn(
  unit: Unit,
  metric: string | null,
  pictureId: string,
  at: string,
): Promise<{ value: number; fileId: string }> {
  if (metric === null)
    throw refused('no-metric', at, 'This study was not planned on figures of pictures; give the value.');
  const picture = await unit.need(PictureRow, { id: pictureId }, `picture ${pictureId}`);
  const measurement = await unit.one(MeasurementRow, { pictureId });
  if (!measurement) throw new Refusal('conflict', 'not-measured', 'The picture is not measured yet; wait a moment.');
  const value = measurement.metrics?.[metric] ?? null;
  if (value !== null) return { value, fileId: picture.fileId };
  throw refused('no-figure', at, measurement.refused ?? `The picture was not measured for ${metric}.`);
}
