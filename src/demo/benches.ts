import type { Send } from '../client.js';
import type { FileDto } from '../contract/files.dto.js';
import { makeLabel } from '../core/gs1/label.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { BenchRun, controlSubjects, patientSubject } from './bench.js';
import { PATIENTS, STATIONS } from './laboratory.js';
import { paintedField } from './painted.js';
import { type DemoLaboratory, signIn } from './set-up.js';

const HOUR_MS = 3_600_000;

/** Brings work onto the benches, so that whoever opens the pages first sees them in use. */
export async function setUpBenches(send: Send, laboratory: DemoLaboratory, now: Instant): Promise<void> {
  const technician = await signIn(send, 'technician');
  const stamp = (station: string) => () => technician.stamp(station);
  const core = (n: number, description: string, identifiers: (typeof PATIENTS)['thyroid']) =>
    patientSubject(technician, {
      kind: 'specimen',
      label: makeLabel('S', `TARN-${n}`),
      description,
      takenAt: plusMs(now, -1000),
      irreplaceable: true,
      identifiers,
    });

  // At the bedside everything is ready and nothing has begun; the second core waits for a run of its own.
  const lymphNode = await core(901, 'core, lymph node of the neck, left', PATIENTS.lymphNode);
  await core(902, 'core, thyroid nodule, right', PATIENTS.thyroid);
  const bedside = await BenchRun.start(technician, stamp(STATIONS.bedside), {
    revision: laboratory.revisions['ao-fresh'],
    station: STATIONS.bedside,
    subjects: [lymphNode, ...(await controlSubjects(technician, 'ao-fresh'))],
  });
  await setTray(bedside, laboratory);
  await bedside.confirmIdentities();
  await controlSubjects(technician, 'ao-fresh');

  const skin = await patientSubject(technician, {
    kind: 'specimen',
    description: 'skin, forearm, left',
    takenAt: plusMs(now, -30 * HOUR_MS),
    irreplaceable: false,
    identifiers: PATIENTS.skin,
  });
  const slide = (n: number) =>
    patientSubject(technician, {
      kind: 'slide',
      label: makeLabel('L', `TARN-${n}`),
      parentId: skin.subjectId,
      description: `skin, forearm, left, section ${n - 910}`,
      irreplaceable: false,
    });

  // On the line a rack stands in its first bath.
  const routine = await BenchRun.start(technician, stamp(STATIONS.routine), {
    revision: laboratory.revisions['he-harris-regressive'],
    station: STATIONS.routine,
    subjects: [await slide(911), await slide(912), ...(await controlSubjects(technician, 'he-harris-regressive'))],
  });
  await setTray(routine, laboratory);
  await routine.confirmIdentities();
  await routine.record('step-started', { step: 'dewax-1' });

  // The immunostain waits for its tray; its control and its case were looked at before, at the same exposure.
  const stained = await BenchRun.start(technician, stamp(STATIONS.special), {
    revision: laboratory.revisions['ihc-dab'],
    station: STATIONS.special,
    subjects: [await slide(913), ...(await controlSubjects(technician, 'ihc-dab'))],
  });
  for (const [n, { subjectId }] of stained.view.subjects.slice(0, 2).entries()) {
    const name = encodeURIComponent(`painted field ${n + 1} (invented).png`);
    const { id: fileId } = await technician.upload<FileDto>(`/files?name=${name}`, paintedField(0.7 + n / 20));
    const exposure = { exposureMs: 4, objective: '20x (invented)' };
    await technician.post(`/runs/${stained.view.id}/pictures`, { subjectId, fileId, exposure });
  }
  await technician.signOut();
}

async function setTray(run: BenchRun, { bottles }: DemoLaboratory): Promise<void> {
  for (const reagent of new Set(run.view.revision.content.steps.flatMap((step) => step.reagent ?? []))) {
    const bottle = bottles[reagent]?.[0];
    if (bottle) await run.record('tray-scanned', { reagent, container: bottle.id });
  }
}
