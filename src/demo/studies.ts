import type { Api } from '../client.js';
import type { FileDto } from '../contract/files.dto.js';
import type { ContainerDto, LotDto, LotListDto } from '../contract/stock.dto.js';
import type { StudyDto } from '../contract/studies.dto.js';
import { RUIFROK_JOHNSTON } from '../core/stain-image/deconvolution.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { localDay } from '../core/time/zone.js';
import { DYE, LABORATORY, PASSWORD, SUPPLIERS } from './laboratory.js';
import { paintedField } from './painted.js';

const DAY_MS = 86_400_000;
const ANTIBODY = 'primary-antibody';

/** Grades of DAB that two readers agreed on, old lot and new; all invented. */
const READ: readonly [old: number, fresh: number][] = [
  [0, 0],
  [0, 0],
  [0, 0],
  [1, 1],
  [1, 1],
  [1, 2],
  [2, 2],
  [2, 2],
  [2, 2],
  [3, 3],
  [3, 3],
  [3, 3],
];

/** A comparison that was decided, one that is under way, and a picture of a control. */
export async function furnishStudies(
  manager: Api,
  bottles: Record<string, ContainerDto[]>,
  now: Instant,
): Promise<void> {
  const [antibody] = bottles[ANTIBODY] ?? [];
  const [dye] = bottles[DYE] ?? [];
  if (antibody) await decided(manager, antibody.lotId, now);
  if (dye) await underWay(manager, dye.lotId);
  await picture(manager);
}

async function decided(manager: Api, oldLotId: string, now: Instant): Promise<void> {
  const lot = await manager.post<LotDto>('/lots', {
    reagent: ANTIBODY,
    number: 'GA-26-77',
    source: SUPPLIERS.antibody ?? SUPPLIERS.other,
    expiry: localDay(plusMs(now, 300 * DAY_MS), LABORATORY.zone).slice(0, 7),
    storage: '2 to 8 Cel',
    containers: [{ size: '7 mL' }],
  });
  const study = await manager.post<StudyDto>('/studies', {
    lotId: lot.id,
    oldLotId,
    protocolId: 'ihc-dab',
    kind: 'ordinal',
    measurand: 'intensity of DAB in positive nuclei',
    categories: ['0', '1+', '2+', '3+'],
    design: {
      pairs: READ.length,
      reason: 'Invented: three blocks of each grade, as the procedure of this laboratory asks.',
    },
    criteria: { agreement: 0.9, kappa: 0.8 },
  });
  await manager.post(`/studies/${study.id}/pairs`, {
    pairs: READ.map(([old, fresh], i) => ({ material: `invented block ${i + 1}`, old, new: fresh })),
  });
  await manager.post(`/studies/${study.id}/decision`, {
    standing: 'accepted',
    reason: 'Invented: one block of twelve reads a grade stronger; the others as before.',
    password: PASSWORD,
  });
}

async function underWay(manager: Api, oldLotId: string): Promise<void> {
  const { items } = await manager.get<LotListDto>(`/lots?reagent=${DYE}`);
  const waiting = items.find(({ standing }) => standing === 'quarantined');
  if (!waiting) return;
  const study = await manager.post<StudyDto>('/studies', {
    lotId: waiting.id,
    oldLotId,
    protocolId: 'ao-fresh',
    kind: 'numeric',
    measurand: 'nuclear signal to background',
    unit: '1',
    metric: 'signal-to-background',
    design: {
      from: { question: 'equivalence', margin: 0.5, sd: 0.5, power: 0.9 },
      reason: 'Invented: a difference of half a unit is not seen by eye.',
    },
    criteria: { low: -0.5, high: 0.5 },
  });
  const values = [
    [6.1, 6.3],
    [5.4, 5.2],
    [7.0, 7.2],
    [4.8, 4.9],
  ];
  await manager.post(`/studies/${study.id}/pairs`, {
    pairs: values.map(([old, fresh], i) => ({ material: `invented trim ${i + 1}`, old, new: fresh })),
  });
}

/** A painted picture of a control, measured. */
async function picture(manager: Api): Promise<void> {
  const file = await manager.upload<FileDto>('/files?name=painted%20control%20(invented).png', paintedField());
  await manager.post('/pictures', {
    fileId: file.id,
    measuring: {
      kind: 'brightfield',
      stains: (['haematoxylin', 'dab'] as const).map((name) => ({ name, vector: RUIFROK_JOHNSTON[name] })),
    },
    exposure: { exposureMs: 4, objective: '20x (invented)' },
  });
}
