import type { Api, Send } from '../client.js';
import type { ControlResultListDto } from '../contract/control-results.dto.js';
import type { SeriesDto } from '../contract/control-series.dto.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { BenchRun, controlSubjects } from './bench.js';
import { PASSWORD, STATIONS } from './laboratory.js';
import { type DemoLaboratory, signIn } from './set-up.js';

const DAY_MS = 86_400_000;
const STAIN = 'he-harris-regressive';

/** Nuclear signal to background of an invented fluorescent slide, one value a day: twenty that limits stand on, then more. */
const SIGNAL = [
  10.2, 9.8, 10.1, 9.6, 10.4, 10.0, 9.9, 10.3, 9.7, 10.1, 10.5, 9.8, 10.0, 10.2, 9.5, 10.1, 9.9, 10.3, 9.8, 10.0,
];
const AFTER = [10.2, 9.9, 10.6, 11.2, 9.9, 10.1];

/** A short series with one value that broke a rule, and a failed control that was corrected, repeated and closed. */
export async function furnishControlResults(send: Send, laboratory: DemoLaboratory, now: Instant): Promise<void> {
  const [technician, manager, director] = [
    await signIn(send, 'technician'),
    await signIn(send, 'manager'),
    await signIn(send, 'director'),
  ];
  await signalSeries(manager, now);
  await closedFailure({ technician, director }, laboratory);
  for (const api of [technician, manager, director]) await api.signOut();
}

async function signalSeries(manager: Api, now: Instant): Promise<void> {
  const { levels } = await manager.post<SeriesDto>('/control-series', {
    code: 'fluorescent-slide',
    title: 'Fluorescent slide: signal to background',
    unit: '{ratio}',
    levels: ['slide'],
    rules: [
      { rule: '1-2s', weight: 'warn' },
      { rule: '1-3s', weight: 'reject' },
      { rule: '2-2s', weight: 'reject' },
      { rule: '4-1s', weight: 'reject' },
      { rule: '10x', weight: 'reject' },
    ],
  });
  const path = `/control-series/${levels[0]?.id}`;
  const days = SIGNAL.length + AFTER.length;
  const day = (n: number): Instant => plusMs(now, (n - days) * DAY_MS);
  const add = (value: number, at: Instant) =>
    manager.post(`${path}/values`, { values: [{ level: 'slide', value }], at });
  for (const [n, value] of SIGNAL.entries()) await add(value, day(n));
  await manager.post(`${path}/limits`, {
    source: 'first points',
    from: day(0),
    to: day(SIGNAL.length - 1),
    since: plusMs(day(SIGNAL.length - 1), 1),
    reason: 'Invented: the first twenty days.',
    password: PASSWORD,
  });
  for (const [n, value] of AFTER.entries()) await add(value, day(SIGNAL.length + n));
  await manager.post(`${path}/marks`, {
    kind: 'corrective action',
    at: plusMs(day(SIGNAL.length + AFTER.indexOf(11.2)), DAY_MS / 2),
    text: 'Invented: lamp realigned.',
  });
}

/** The slide of the day came out pale, in a run without patients, and the repeat with filtered dye was as it should be. */
async function closedFailure(
  { technician, director }: { technician: Api; director: Api },
  laboratory: DemoLaboratory,
): Promise<void> {
  const pale = await readSlide(technician, laboratory, {
    passed: false,
    observed: 'nuclei pale, chromatin smudged',
    criteria: [
      { criterion: 'nuclear-crispness', grade: 1, seen: 'pale' },
      { criterion: 'background', grade: 3 },
    ],
  });
  const crisp = await readSlide(technician, laboratory, {
    passed: true,
    observed: 'as expected',
    criteria: [
      { criterion: 'nuclear-crispness', grade: 3 },
      { criterion: 'background', grade: 3 },
    ],
  });
  const path = `/control-failures/${pale}`;
  await technician.post(`${path}/acts`, {
    kind: 'cause',
    text: 'Invented: haematoxylin was not filtered this morning.',
  });
  await technician.post(`${path}/acts`, { kind: 'action', text: 'Invented: filtered, first rack held back.' });
  await technician.post(`${path}/acts`, {
    kind: 'repeat',
    text: 'Crisp chromatin, three shades of pink.',
    repeatId: crisp,
  });
  await director.post(`${path}/close`, {
    ended: 'repeated',
    reason: 'Invented: no patient’s slide was stained before the repeat.',
    password: PASSWORD,
  });
}

async function readSlide(
  technician: Api,
  { revisions, bottles }: DemoLaboratory,
  reading: { passed: boolean; observed: string; criteria: { criterion: string; grade: 1 | 3; seen?: string }[] },
): Promise<string> {
  const subjects = await controlSubjects(technician, STAIN);
  const run = await BenchRun.start(technician, () => technician.stamp(STATIONS.routine), {
    revision: revisions[STAIN],
    station: STATIONS.routine,
    purpose: 'acceptance',
    subjects,
  });
  for (const reagent of ['harris-haematoxylin', 'eosin-y-alcoholic']) {
    const bottle = bottles[reagent]?.[0];
    if (bottle) await run.record('tray-scanned', { reagent, container: bottle.id });
  }
  await run.record('control-read', { control: subjects[0]?.subjectId ?? '', ...reading });
  await run.record('cleared', {});
  const { items } = await technician.get<ControlResultListDto>(`/control-results?run=${run.view.id}`);
  const [result] = items;
  if (!result) throw new Error('the reading was kept, and no result of it was found');
  return result.id;
}
