import type { Device, Substance } from '@medplum/fhirtypes';
import type { ContainerFacts } from '../lot/facts.js';
import type { Instant } from '../time/instant.js';
import type { RunSource } from './facts.js';
import { concept, identifier, idOf, published } from './names.js';

const CATEGORIES = 'http://terminology.hl7.org/CodeSystem/substance-category';

/** The containers on a run's tray: what is in them, of which lot, and from when they were no longer to be used. */
export function substances({ laboratory, run, lots, reagents }: RunSource): Substance[] {
  return run.containers.map((container) => {
    const { id, label, reagent, lot } = container;
    const kept = lots.find((each) => each.id === lot.id);
    const until = endOf(container);
    const printed = kept?.expiry ? `, printed expiry ${kept.expiry}` : '';
    return {
      resourceType: 'Substance',
      id: idOf(laboratory.id, { type: 'Substance', key: id }),
      identifier: [identifier('label', label)],
      status: 'active',
      category: [{ coding: [published(CATEGORIES, 'chemical', 'Chemical')] }],
      code: concept('reagent', reagent, reagents[reagent] ?? reagent),
      description: `Lot ${lot.number} of ${kept?.source ?? 'an unknown source'}${printed}`,
      instance: [{ identifier: identifier('lot', lot.number), ...(until === null ? {} : { expiry: until }) }],
    };
  });
}

/** The first instant from which any limit keeps a container from being used; null when it has none. */
function endOf({ limits }: ContainerFacts): Instant | null {
  return (
    limits
      .map(({ until }) => until)
      .sort()
      .at(0) ?? null
  );
}

/** The instruments of the run's bench place, and the benches or programs that took its times. */
export function devices({ laboratory, run, instruments, devices: named }: RunSource): Device[] {
  const owner = { display: laboratory.name };
  const measuring = instruments.map(({ id, code, name, kind, serial }): Device => ({
    resourceType: 'Device',
    id: idOf(laboratory.id, { type: 'Device', key: id }),
    identifier: [identifier('instrument', code)],
    ...(serial === null ? {} : { serialNumber: serial }),
    deviceName: [{ name, type: 'user-friendly-name' }],
    type: { text: kind },
    owner,
  }));
  const stamping = [...new Set(run.events.map(({ stamp }) => stamp.device))];
  const acting = [...stamping.map((name) => [`station ${name}`, name] as const), ...Object.entries(named)];
  return [
    ...measuring,
    ...acting.map(([key, name]): Device => ({
      resourceType: 'Device',
      id: idOf(laboratory.id, { type: 'Device', key }),
      deviceName: [{ name, type: 'user-friendly-name' }],
      type: { text: 'bench station or program' },
      owner,
    })),
  ];
}
