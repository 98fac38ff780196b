import type { NewRunDto } from '../../contract/runs.dto.js';
import { whyUnusable } from '../../core/lot/facts.js';
import type { UnusableReason } from '../../core/lot/validity.js';
import { inForce } from '../../core/protocol/lifecycle.js';
import { Refusal } from '../../core/refusal.js';
import type { RunEvent, RunEventData, RunEventKind } from '../../core/run/events.js';
import type { Instant } from '../../core/time/instant.js';
import { containerFacts } from '../../store/questions/containers.js';
import { revisionHistories } from '../../store/questions/revisions.js';
import type { LoadedRun } from '../../store/questions/runs.js';
import { subjectsOf } from '../../store/questions/subjects.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import type { RevisionRow } from '../../store/rows/protocols.entity.js';
import type { Unit } from '../../store/unit.js';
import type { View } from '../../store/view.js';

/** Refuses what does not exist, and control material as a patient's. */
export async function checkSubjects(unit: Unit, subjects: NewRunDto['subjects']): Promise<void> {
  const known = await subjectsOf(
    unit,
    subjects.map(({ subjectId }) => subjectId),
  );
  for (const { subjectId, role } of subjects) {
    const found = known.find(({ id }) => id === subjectId);
    if (!found) throw new Refusal('not-found', 'not-found', `There is no specimen, slide or control ${subjectId}.`);
    if (role === 'patient' && found.kind === 'control') {
      throw new Refusal(
        'invalid',
        'control-as-patient',
        `${found.label} is control material; give it the role "control".`,
      );
    }
  }
}

export async function isInForce(view: View, revision: RevisionRow, at: Instant): Promise<boolean> {
  const all = await revisionHistories(view, revision.protocolId);
  const own = all.find(({ id }) => id === revision.id);
  return own !== undefined && inForce(own, all, at);
}

/** Refuses a revision that is not in force at an instant for a run for patients. */
export async function needInForce(unit: Unit, revision: RevisionRow, purpose: string, at: Instant): Promise<void> {
  if (purpose !== 'patients' || (await isInForce(unit, revision, at))) return;
  throw new Refusal(
    'conflict',
    'revision-not-in-force',
    `Revision ${revision.number} of ${revision.title} is not in force; run an approved one whose effective date has come, or start a run for acceptance or training.`,
  );
}

/** A step ended by eye was judged by whoever says so, unless another is named. */
export async function filledIn<K extends RunEventKind>(
  unit: Unit,
  { revision }: LoadedRun,
  kind: K,
  data: RunEventData[K],
): Promise<RunEventData[K]> {
  if (kind === 'supervised') {
    const { supervisor } = data as RunEventData['supervised'];
    await unit.need(PersonRow, { id: supervisor }, `person ${supervisor}`);
    if (supervisor === unit.actor.personId) {
      const message = 'Somebody else supervises a trainee; name that person.';
      throw new Refusal('invalid', 'own-supervisor', message, [{ at: 'data.supervisor', message }]);
    }
  }
  if (kind !== 'step-ended') return data;
  const ended = data as RunEventData['step-ended'];
  const byEye = revision.content.steps.find(({ id }) => id === ended.step)?.end === 'eye';
  if (!byEye) return data;
  if (ended.judgedBy !== undefined) await unit.need(PersonRow, { id: ended.judgedBy }, `person ${ended.judgedBy}`);
  return { ...ended, judgedBy: ended.judgedBy ?? unit.personId } as RunEventData[K];
}

/** Why the container that an event put on the tray may not be used; of any other event, nothing. */
export async function unusableOnTray(unit: Unit, { run }: LoadedRun, event: RunEvent): Promise<UnusableReason[]> {
  if (event.kind !== 'tray-scanned') return [];
  const [container] = await containerFacts(unit, [event.data.container]);
  return container ? whyUnusable(container, event.data.reagent, event.stamp, run.purpose === 'patients') : [];
}
