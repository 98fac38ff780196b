import { type InstrumentFacts, type InstrumentFault, instrumentFaults } from '../instruments/instrument.js';
import type { RunState } from '../run/state.js';
import type { Instant } from '../time/instant.js';
import type { Finding } from './finding.js';
import { finding } from './make-finding.js';

const SAYINGS: Record<InstrumentFault, (since: Instant | null) => string> = {
  uncalibrated: () => 'had never been calibrated',
  'calibration-failed': (since) => `had failed its calibration of ${since}`,
  'calibration-over': (since) => `was past its calibration, which ended at ${since}`,
  'service-over': (since) => `was past its service, which was due at ${since}`,
  'out-of-use': (since) => `had been taken out of use at ${since}`,
};

/**
 * What speaks against the instruments of the run's bench place, judged at the start and the end of what was done up to
 * the step `last`: each must be in calibration and in use; an overdue service is a caution.
 */
export function instrumentFindings(instruments: readonly InstrumentFacts[], state: RunState, last: number): Finding[] {
  if (instruments.length === 0) return [];
  const instants = state.steps
    .slice(0, last + 1)
    .flatMap(({ performances }) => performances.flatMap(({ started, ended }) => [started, ...(ended ? [ended] : [])]))
    .map(({ stamp }) => stamp.at)
    .sort();
  const [first] = instants;
  const final = instants.at(-1);
  if (first === undefined || final === undefined) return [];
  return instruments.flatMap((instrument) => {
    const faults = new Map(
      [first, final]
        .flatMap((at) => instrumentFaults(instrument, at).map((each) => [each.fault, { ...each, at }] as const))
        .reverse(),
    );
    return [...faults.values()].map(({ fault, since, at }) =>
      finding(fault === 'service-over' ? 'service-overdue' : 'instrument-unfit', {
        about: `${instrument.id}:${fault}`,
        at,
        what: `${instrument.name} (${instrument.code}) ${SAYINGS[fault](since)}.`,
        measured: at,
        ...(since !== null && { against: since }),
      }),
    );
  });
}
