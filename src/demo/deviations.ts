import type { Api, Send } from '../client.js';
import type { FailureListDto } from '../contract/control-results.dto.js';
import type { DeviationPersonDto, DeviationStoryDto, NewDeviationActDto } from '../contract/deviations.dto.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { localDay } from '../core/time/zone.js';
import { LABORATORY, PASSWORD, PEOPLE } from './laboratory.js';
import { signIn } from './set-up.js';

const DAY_MS = 86_400_000;

/** A deviation that goes back to the failed control and is closed with its proof, and one that waits for its action. */
export async function furnishDeviations(send: Send, now: Instant): Promise<void> {
  const [technician, manager, pathologist] = [
    await signIn(send, 'technician'),
    await signIn(send, 'manager'),
    await signIn(send, 'pathologist'),
  ];
  const people = await manager.get<DeviationPersonDto[]>('/deviations/people');
  const idOf = (who: keyof typeof PEOPLE): string => people.find(({ name }) => name === PEOPLE[who].name)?.id ?? '';
  const day = (days: number): string => localDay(plusMs(now, days * DAY_MS), LABORATORY.zone);
  const add = (api: Api, id: string, act: NewDeviationActDto) =>
    api.post<DeviationStoryDto>(`/deviations/${id}/acts`, act);

  const { items } = await technician.get<FailureListDto>('/control-failures');
  const closed = await technician.post<DeviationStoryDto>('/deviations', {
    subject: 'control failure',
    subjectId: items[0]?.id,
    title: 'Haematoxylin not filtered before the first rack',
    what: 'Invented: the slide of the day came out pale, because nobody had filtered the haematoxylin that morning.',
    effect: 'result late or repeated',
    correction: 'Invented: filtered; the first rack was held back and stained after the repeat.',
  });
  await add(manager, closed.id, {
    kind: 'cause',
    causeKind: 'method',
    text: 'Invented: the morning list asks for it only on Mondays, though the line runs every day.',
  });
  const acted = await add(manager, closed.id, {
    kind: 'action',
    text: 'Invented: put filtering on the list of every morning, to be ticked before the first rack.',
    ownerId: idOf('technician'),
    dueDay: day(1),
  });
  await add(technician, closed.id, {
    kind: 'done',
    actionId: acted.actions[0]?.id ?? '',
    text: 'Invented: the new list hangs at the line.',
  });
  await add(manager, closed.id, {
    kind: 'check planned',
    text: 'Invented: each list of the week is ticked, and no slide of the day is pale.',
    ownerId: idOf('pathologist'),
    notBeforeDay: day(0),
    dueDay: day(7),
  });
  await add(pathologist, closed.id, {
    kind: 'checked',
    effective: true,
    text: 'Invented: five lists of five are ticked, five slides as expected.',
  });
  await manager.post(`/deviations/${closed.id}/close`, {
    ended: 'effective',
    reason: 'Invented: gone through at the weekly meeting.',
    password: PASSWORD,
  });

  const open = await technician.post<DeviationStoryDto>('/deviations', {
    subject: 'described',
    title: 'Labels came off in the clearing bath',
    what: 'Invented: two slides of one rack lost their labels; both were known by their place in the rack and by the tissue.',
    effect: 'result late or repeated',
    correction: 'Invented: both were labelled anew by two people before they left the rack.',
  });
  await add(manager, open.id, { kind: 'assigned', ownerId: idOf('manager'), dueDay: day(5) });
  await add(manager, open.id, {
    kind: 'cause',
    causeKind: 'material',
    text: 'Invented: a new kind of label, which the printer’s maker does not name for solvents.',
  });
  await add(manager, open.id, {
    kind: 'action',
    text: 'Invented: go back to the labels used before, and try each new kind in the clearing bath for an hour first.',
    ownerId: idOf('technician'),
    dueDay: day(3),
  });
  for (const api of [technician, manager, pathologist]) await api.signOut();
}
