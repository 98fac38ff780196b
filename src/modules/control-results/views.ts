import type { ControlResultDto } from '../../contract/control-results.dto.js';
import type { ControlResult } from '../../core/controls/result.js';
import { expectedOf, type ResultDetails, resultDetails } from '../../store/questions/result-details.js';
import type { View } from '../../store/view.js';

/** Results as pages see them, in the order given. */
export async function resultViews(view: View, results: readonly ControlResult[]): Promise<ControlResultDto[]> {
  const details = await resultDetails(view, results);
  return results.map((result) => resultView(result, details));
}

function resultView(result: ControlResult, details: ResultDetails): ControlResultDto {
  const { protocols, labels, names } = details;
  const { readings, protocolId, requirement, subjectId } = result;
  const protocol = protocols.get(protocolId);
  return {
    id: result.id,
    runId: result.runId,
    protocolId,
    title: protocol?.title ?? protocolId,
    requirement,
    expected: expectedOf(result, details),
    subjectId,
    label: subjectId === null ? null : (labels.get(subjectId) ?? null),
    at: result.at,
    stainedAt: result.stainedAt,
    day: result.day,
    passed: result.passed,
    observed: result.observed,
    second: result.second,
    readings: readings.map(({ id, reading, at, passed, observed, personId, criteria, pictures }) => ({
      id,
      reading,
      at,
      passed,
      observed,
      personId,
      person: personId === null ? null : (names[personId] ?? null),
      criteria,
      pictures,
    })),
    pictures: [...new Set(readings.flatMap(({ pictures }) => pictures ?? []))],
    lots: result.lots,
    valueId: result.valueId,
  };
}
