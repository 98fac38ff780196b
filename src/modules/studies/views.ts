import type { StudyDto, StudyLotDto } from '../../contract/studies.dto.js';
import { type StudyResults, studyResults } from '../../core/study/acceptance.js';
import type { KnownStudy } from '../../store/questions/studies.js';

/** What the pairs that count show; null with fewer than three. */
export function resultsOf({ row, pairs }: KnownStudy): StudyResults | null {
  const counted = pairs.filter(({ exclusion }) => exclusion === null).map((each) => each.row);
  const { kind, criteria, categories } = row;
  return studyResults(
    { kind, criteria, categories: categories?.length ?? 0 },
    { x: counted.map(({ oldValue }) => oldValue), y: counted.map(({ newValue }) => newValue) },
  );
}

export function studyView(study: KnownStudy): StudyDto {
  const { row, lots, pairs, decision } = study;
  const { laboratoryId: _own, seq: _recorded, lotId, oldLotId, ...planned } = row;
  const lotOf = (id: string): StudyLotDto => {
    const known = lots.find((lot) => lot.row.id === id);
    if (!known) throw new Error(`lot ${id} is gone from under its study`);
    return { id, number: known.row.number, reagent: known.row.reagentCode, standing: known.standing };
  };
  return {
    ...planned,
    lot: lotOf(lotId),
    oldLot: lotOf(oldLotId),
    counted: pairs.filter(({ exclusion }) => exclusion === null).length,
    pairs: pairs.map(({ row: pair, exclusion }) => ({
      id: pair.id,
      material: pair.material,
      old: pair.oldValue,
      new: pair.newValue,
      oldRunId: pair.oldRunId,
      newRunId: pair.newRunId,
      oldFileId: pair.oldFileId,
      newFileId: pair.newFileId,
      at: pair.at,
      personId: pair.personId,
      excluded: exclusion?.reason ?? null,
    })),
    results: decision?.results ?? resultsOf(study),
    ...(decision && {
      decision: {
        standing: decision.standing,
        reason: decision.reason,
        deviation: decision.deviation,
        at: decision.at,
        results: decision.results,
        signature: decision.signature,
      },
    }),
  };
}
