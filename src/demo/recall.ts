import type { Send } from '../client.js';
import type { LookbackItemListDto, RecallViewDto } from '../contract/recalls.dto.js';
import type { ContainerDto, LotDto } from '../contract/stock.dto.js';
import { makeLabel } from '../core/gs1/label.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { localDay } from '../core/time/zone.js';
import { BenchRun, controlSubjects, patientSubject } from './bench.js';
import { LABORATORY, PATIENTS, STATIONS, SUPPLIERS } from './laboratory.js';
import { type DemoLaboratory, signIn } from './set-up.js';

const DAY_MS = 86_400_000;
const PROTOCOL = 'he-harris-regressive';

/** A lot that was recalled after it had stood on a tray: its lookback is answered by half, and one person was told. */
export async function furnishRecall(send: Send, { revisions }: DemoLaboratory, now: Instant): Promise<void> {
  const manager = await signIn(send, 'manager');
  const revision = revisions[PROTOCOL];
  const codes = revision.content.steps.flatMap(({ reagent }) => reagent ?? []);
  const reagent = codes.find((code) => code.includes('eosin'));
  if (reagent === undefined) throw new Error(`the demo recalls an eosin, which ${PROTOCOL} does not use`);
  const lot = await manager.post<LotDto>('/lots', {
    reagent,
    number: 'TW-25-90',
    source: SUPPLIERS.other,
    expiry: localDay(plusMs(now, 20 * DAY_MS), LABORATORY.zone),
    containers: [1, 2].map((bottle) => ({ label: makeLabel('C', `TARN-90${bottle}`), serial: `90${bottle}` })),
  });
  await manager.post(`/lots/${lot.id}/decisions`, { standing: 'accepted', reason: 'Invented: papers checked.' });
  const [bottle] = lot.containers as [ContainerDto];
  await manager.post(`/containers/${bottle.id}/state`, { state: 'opened' });

  const technician = await signIn(send, 'technician');
  const skin = await patientSubject(technician, {
    kind: 'specimen',
    description: 'skin, back, shave',
    takenAt: plusMs(now, -DAY_MS),
    irreplaceable: false,
    identifiers: PATIENTS.skin,
  });
  const slides = [];
  for (const n of [1, 2]) {
    slides.push(
      await patientSubject(technician, {
        kind: 'slide',
        label: makeLabel('L', `TARN-92${n}`),
        parentId: skin.subjectId,
        description: `skin, back, section ${n}`,
        irreplaceable: false,
      }),
    );
  }
  const run = await BenchRun.start(technician, () => technician.stamp(STATIONS.routine), {
    revision,
    station: STATIONS.routine,
    subjects: [...slides, ...(await controlSubjects(technician, PROTOCOL))],
  });
  await run.confirmIdentities();
  await run.record('tray-scanned', { reagent, container: bottle.id });
  await run.record('abandoned', {
    reason: 'Invented: the maker’s letter about this lot came while the rack was set up.',
  });
  await run.record('cleared', {});
  await technician.signOut();

  const recall = await manager.post<RecallViewDto>('/recalls', {
    lotId: lot.id,
    reason: 'Invented: the maker found the pH outside its limits.',
    notice: 'Tidewater Reagents (invented), letter TR-2026-11: stop using lot TW-25-90 and discard what is left.',
  });
  const [first] = recall.people;
  if (first?.personId) {
    await manager.post(`/recalls/${recall.id}/told`, { personId: first.personId, how: 'in person, at the bench' });
  }
  await manager.signOut();

  const releaser = await signIn(send, 'pathologist');
  const { items } = await releaser.get<LookbackItemListDto>(`/lookbacks/${recall.lookbackId}/items`);
  const [item] = items;
  if (item) {
    await releaser.post(`/lookbacks/${recall.lookbackId}/answers`, {
      items: [{ runId: item.runId, subjectId: item.subjectId }],
      outcome: 'to be repeated',
      reason: 'Invented: nothing was stained; the section is stained anew with another lot.',
    });
  }
  await releaser.signOut();
}
