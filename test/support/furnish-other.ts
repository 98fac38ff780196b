import { makeLabel } from '../../src/core/gs1/label.js';
import { contentHash } from '../../src/core/protocol/content.js';
import { plusMs } from '../../src/core/time/instant.js';
import { BathRow } from '../../src/store/rows/preparations.entity.js';
import { RevisionActRow, RevisionRow } from '../../src/store/rows/protocols.entity.js';
import { ContainerActRow, ContainerRow, LotActRow, LotRow } from '../../src/store/rows/stock.entity.js';
import { LABORATORY, type TestApp } from './app.js';
import type { Furnished } from './furnish.js';

const DAY_MS = 86_400_000;
const PROGRAM = { laboratoryId: LABORATORY, personId: null, deviceId: null };

/** Another protocol with bottles of other lots, so that nothing is shared but the catalogue. */
export async function furnishOther({ store, clock }: TestApp, furnished: Furnished): Promise<Furnished> {
  return store.change(PROGRAM, 'laboratory.furnished', async (unit) => {
    const content = { ...furnished.protocol, id: 'quill-orange', title: 'Quill orange' };
    const revision = await unit.insert(RevisionRow, {
      protocolId: content.id,
      number: 1,
      title: content.title,
      content,
      contentHash: contentHash(content),
      basedOn: null,
    });
    const at = plusMs(clock.now(), -DAY_MS);
    await unit.insert(RevisionActRow, {
      revisionId: revision.id,
      kind: 'approved',
      at,
      personId: null,
      data: { effectiveFrom: at },
    });
    const containers: Record<string, string> = {};
    for (const [n, reagentCode] of Object.keys(furnished.containers).entries()) {
      const lot = await unit.insert(LotRow, {
        reagentCode,
        number: `OTHER-${reagentCode}`,
        gtin: null,
        origin: 'supplied',
        source: 'Tidewater Reagents (invented)',
        receivedAt: at,
        expiry: '2027-06-30',
        openedLife: 'P30D',
        limits: [{ by: 'expiry', until: '2027-07-01T00:00:00.000Z' }],
        strength: null,
        storage: null,
      });
      await unit.insert(LotActRow, { lotId: lot.id, at, personId: null, standing: 'accepted', reason: 'checked' });
      const label = makeLabel('C', `QY-50${n}`);
      const { id } = await unit.insert(ContainerRow, { lotId: lot.id, label, serial: null, size: '100 mL' });
      const until = plusMs(at, 30 * DAY_MS);
      await unit.insert(ContainerActRow, { containerId: id, at, personId: null, state: 'opened', until, reason: null });
      containers[reagentCode] = id;
    }
    unit.about('laboratory', LABORATORY);
    return { ...furnished, protocol: content, revisionId: revision.id, containers };
  });
}

/** A bath of the lot that a bottle is of. */
export async function bathOf({ store }: TestApp, bottle: string, personId: string): Promise<string> {
  return store.change(PROGRAM, 'laboratory.furnished', async (unit) => {
    const { lotId } = await unit.need(ContainerRow, { id: bottle }, 'bottle');
    const label = makeLabel('C', 'QY-600');
    const { id } = await unit.insert(ContainerRow, { lotId, label, vessel: 'bath' });
    const { at } = unit;
    await unit.insert(ContainerActRow, { containerId: id, at, state: 'opened' });
    const place = { station: 'Ultrasound 1', series: 'rinses', position: 1 };
    await unit.insert(BathRow, { containerId: id, at, personId, ...place, maxSlides: 500 });
    unit.about('laboratory', LABORATORY);
    return id;
  });
}
