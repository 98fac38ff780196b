import type { Api } from '../client.js';
import type { PlanDto } from '../contract/control-plans.dto.js';
import type { Criterion } from '../core/controls/criteria.js';
import type { Instant } from '../core/time/instant.js';
import { localDay } from '../core/time/zone.js';
import { LABORATORY, PASSWORD } from './laboratory.js';

/** What the invented laboratory reads a positive control of an immunostain by. */
const CRITERIA: Criterion[] = [
  {
    code: 'intensity',
    title: 'Brown where expression is strong',
    expected: 'dark brown',
    grades: ['none', 'light', 'brown', 'dark brown'],
    least: 2,
    source: 'SOP-OQ-09 (invented)',
  },
  {
    code: 'background',
    title: 'Background',
    expected: 'clean',
    grades: null,
    least: null,
    source: 'SOP-OQ-09 (invented)',
  },
];

const WEEKDAY = { open: { from: '07:00', to: '19:00' } };

/** The invented laboratory's own control plans, which its director has approved, and when it is open. */
export async function planControls(director: Api, now: Instant): Promise<void> {
  const day = localDay(now, LABORATORY.zone);
  await director.post('/laboratory-calendar', {
    weekdays: [WEEKDAY, WEEKDAY, WEEKDAY, WEEKDAY, WEEKDAY, { open: { from: '08:00', to: '13:00' } }, {}],
    holidays: [{ day: `${day.slice(0, 4)}-12-08`, name: 'Lantern tide (invented)' }],
  });
  const routine = await director.get<PlanDto>('/control-plans/he-harris-regressive');
  await approve(director, day, {
    ...routine,
    controls: routine.counting.controls.map((control) =>
      control.required
        ? {
            ...control,
            clocks: [...control.clocks, { when: 'every n slides', n: 120, clause: 'SOP-OQ-07 (invented)' }],
          }
        : control,
    ),
    note: 'Invented: the haematoxylin paled after a rack day in spring, so slides are counted too.',
  });
  const bedside = await director.get<PlanDto>('/control-plans/ao-fresh');
  await approve(director, day, {
    ...bedside,
    use: { words: 'One use is one run: a core on the table with its controls in the same dish.', counts: 'run' },
    controls: bedside.counting.controls,
    note: 'Invented: says in words what one use is at the bedside.',
  });
  const brown = await director.get<PlanDto>('/control-plans/ihc-dab');
  await approve(director, day, {
    ...brown,
    controls: brown.counting.controls.map((control) =>
      control.id === 'positive-tissue' ? { ...control, criteria: CRITERIA } : control,
    ),
    note: 'Invented: the positive control is read by how brown it is, not by yes or no.',
  });
}

async function approve(
  director: Api,
  day: string,
  {
    protocolId,
    controls,
    note,
    ...rest
  }: Pick<PlanDto, 'protocolId'> & { controls: object[]; note: string; use?: object; published: PlanDto['published'] },
): Promise<void> {
  const use = rest.use ?? rest.published.use;
  const path = `/control-plans/${protocolId}`;
  const { versions } = await director.post<PlanDto>(path, { use, controls, note });
  await director.post(`${path}/${versions[0]?.number}/approve`, {
    effectiveFrom: day,
    reason: 'Invented: gone through with the manager.',
    password: PASSWORD,
  });
}
