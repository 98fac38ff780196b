import type { DeviationDto, DeviationStoryDto } from '../../contract/deviations.dto.js';
import { isOverdue } from '../../core/deviations/deviation.js';
import type { Instant } from '../../core/time/instant.js';
import { subjectWords } from '../../store/questions/deviation-subjects.js';
import type { KnownDeviation } from '../../store/questions/deviations.js';
import { namesOf } from '../../store/questions/people.js';
import type { View } from '../../store/view.js';

type Names = Record<string, string>;

/** Deviations as a list shows them. */
export async function deviationViews(
  view: View,
  known: readonly KnownDeviation[],
  now: Instant,
): Promise<DeviationDto[]> {
  const names = await namesIn(view, known);
  return known.map((each) => asListed(each, names, now));
}

/** One deviation with everything that was done about it. */
export async function deviationStory(view: View, known: KnownDeviation, now: Instant): Promise<DeviationStoryDto> {
  const names = await namesIn(view, [known]);
  const { row, acts, standing } = known;
  const words = await subjectWords(view, row);
  const { check } = standing;
  return {
    ...asListed(known, names, now),
    about: words?.about ?? null,
    path: words?.path ?? null,
    finding: row.finding,
    protocolId: row.protocolId,
    step: row.step,
    actions: standing.actions.map(({ id, text, ownerId, due, done }) => ({
      id,
      text,
      ownerId,
      owner: nameIn(names, ownerId),
      due,
      doneAt: done?.at ?? null,
      doneById: done?.personId ?? null,
      doneBy: done && nameIn(names, done.personId ?? ''),
    })),
    check: check && { ...check, owner: nameIn(names, check.ownerId) },
    acts: acts.map(({ id, kind, at, personId, data }) => ({
      id,
      kind,
      at,
      personId,
      person: nameIn(names, personId),
      ...data,
      ...(data.ownerId !== undefined && { owner: nameIn(names, data.ownerId) }),
    })),
  };
}

function asListed({ row, standing, due }: KnownDeviation, names: Names, now: Instant): DeviationDto {
  const { id, number, at, personId, subject, subjectId, runId, title, what } = row;
  const items = due.map((item) => ({ ...item, owner: nameIn(names, item.ownerId), overdue: isOverdue(item, now) }));
  return {
    id,
    number,
    at,
    personId,
    person: nameIn(names, personId),
    subject,
    subjectId,
    runId,
    title,
    what,
    effect: standing.effect,
    state: standing.state,
    ended: standing.ended,
    ownerId: standing.owner?.id ?? null,
    owner: standing.owner && nameIn(names, standing.owner.id),
    due: items,
    overdue: items.some(({ overdue }) => overdue),
  };
}

function namesIn(view: View, known: readonly KnownDeviation[]): Promise<Names> {
  return namesOf(
    view,
    known.flatMap(({ row, acts }) => [
      row.personId,
      ...acts.flatMap(({ personId, data }) => [personId, data.ownerId ?? null]),
    ]),
  );
}

function nameIn(names: Names, id: string): string {
  return names[id] ?? '';
}
