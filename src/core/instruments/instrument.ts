import { Refusal } from '../refusal.js';
import type { Instant } from '../time/instant.js';

export const INSTRUMENT_KINDS = [
  'timer',
  'thermometer',
  'pipette',
  'microscope',
  'pH meter',
  'balance',
  'refrigerator',
  'oven or water bath',
  'other',
] as const;
export type InstrumentKind = (typeof INSTRUMENT_KINDS)[number];

/** What happens to an instrument: it is checked against its specification, cared for, or may not be used for a time. */
export const INSTRUMENT_ACTS = ['calibrated', 'serviced', 'taken out of use', 'returned to use', 'moved'] as const;
export type InstrumentActKind = (typeof INSTRUMENT_ACTS)[number];

export interface InstrumentAct {
  kind: InstrumentActKind;
  at: Instant;
  /** What a calibration or a service found; null for other acts. */
  passed: boolean | null;
  /** When it is due again; null when it is not. */
  until: Instant | null;
  /** The bench place where it stands from then on, for what was moved. */
  station: string | null;
}

/** What is known about an instrument up to some record number. */
export interface InstrumentFacts {
  id: string;
  code: string;
  name: string;
  /** Whether its readings count only within a calibration. */
  calibrated: boolean;
  /** In any order. */
  acts: InstrumentAct[];
}

export type InstrumentFault =
  'uncalibrated' | 'calibration-failed' | 'calibration-over' | 'service-over' | 'out-of-use';

/**
 * Everything that speaks against using an instrument at an instant (42 CFR 493.1254: maintenance and function checks as
 * defined by maker or laboratory; ISO 15189:2022 6.5): no calibration yet, one that failed or is over, a service that is
 * overdue, taken out of use. Empty when it may be used. The term's own instant is past it.
 */
export function instrumentFaults(
  facts: InstrumentFacts,
  at: Instant,
): { fault: InstrumentFault; since: Instant | null }[] {
  const faults: { fault: InstrumentFault; since: Instant | null }[] = [];
  const calibration = latest(facts.acts, ['calibrated'], at);
  if (facts.calibrated && !calibration) faults.push({ fault: 'uncalibrated', since: null });
  if (calibration?.passed === false) faults.push({ fault: 'calibration-failed', since: calibration.at });
  else if (calibration && over(calibration, at)) faults.push({ fault: 'calibration-over', since: calibration.until });
  const service = latest(facts.acts, ['serviced'], at);
  if (service && over(service, at)) faults.push({ fault: 'service-over', since: service.until });
  const use = latest(facts.acts, ['taken out of use', 'returned to use'], at);
  if (use?.kind === 'taken out of use') faults.push({ fault: 'out-of-use', since: use.at });
  return faults;
}

/** The bench place where an instrument stood at an instant; null when it belonged to none. */
export function stationAt({ acts }: Pick<InstrumentFacts, 'acts'>, at: Instant): string | null {
  return latest(acts, ['moved'], at)?.station ?? null;
}

/** When calibration and service are due again by what is known now; null where none is. */
export function dueAgain(
  { acts }: Pick<InstrumentFacts, 'acts'>,
  now: Instant,
): Record<'calibration' | 'service', Instant | null> {
  return {
    calibration: latest(acts, ['calibrated'], now)?.until ?? null,
    service: latest(acts, ['serviced'], now)?.until ?? null,
  };
}

function over({ until }: InstrumentAct, at: Instant): boolean {
  return until !== null && until <= at;
}

/** The last act of these kinds not after an instant; of two at one instant the one that stands later in the list. */
function latest(
  acts: readonly InstrumentAct[],
  kinds: readonly InstrumentActKind[],
  at: Instant,
): InstrumentAct | undefined {
  return acts
    .filter((act) => kinds.includes(act.kind) && act.at <= at)
    .reduce<InstrumentAct | undefined>((last, act) => (last && last.at > act.at ? last : act), undefined);
}

/**
 * Refuses an act on an instrument that is not whole: in the future, a calibration or service without what it found, one
 * that passed without the day until which it counts, a move without a place.
 */
export function checkInstrumentAct({ kind, at, passed, until, station }: InstrumentAct, now: Instant): void {
  const refuse = (field: string, message: string): never => {
    throw new Refusal('invalid', 'instrument-act-incomplete', message, [{ at: field, message }]);
  };
  if (at > now) refuse('at', `${at} lies in the future; it is ${now} now.`);
  const checked = kind === 'calibrated' || kind === 'serviced';
  if (checked && passed === null) refuse('passed', 'Say whether it passed.');
  if (!checked && (passed !== null || until !== null)) {
    refuse('passed', `Only a calibration or a service passes or ends; leave it out of what was ${kind}.`);
  }
  if (checked && passed === true && until === null) refuse('lastDay', 'Give the last day on which it counts.');
  if (until !== null && until <= at) refuse('lastDay', 'It would be over before it began; give a later day.');
  if (kind === 'moved' && station === null) refuse('station', 'Say where it stands now.');
}
