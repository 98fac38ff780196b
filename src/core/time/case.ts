import { Refusal } from '../refusal.js';
import { elapsed, judgeDuration, ofOneClock, type DurationVerdict, type Elapsed, type Stamp } from './duration.js';
import { Fields } from './fields.js';

export interface TimingResult extends Elapsed {
  id: string;
  verdict: DurationVerdict;
}

/**
 * Judges one timing case `{id, start, end, window, driftPpm?}` as given in JSON; refuses one that cannot be computed.
 * `computeTiming({id: 'T02', start: {at: '2026-03-29T00:00:00.000Z', uncertaintyMs: 0}, end: {at:
 * '2026-03-29T00:01:00.000Z', uncertaintyMs: 0}, window: {minMs: 20000, maxMs: 60000}})` is `{id: 'T02', durationMs:
 * 60000, uncertaintyMs: 0, verdict: 'within'}`.
 */
export function computeTiming(input: unknown): TimingResult {
  const fields = new Fields(input);
  const id = fields.text('id');
  const start = readStamp(fields.object('start'));
  const end = readStamp(fields.object('end'));
  const window = fields.object('window').onlyKeys('minMs', 'maxMs');
  if (ofOneClock(start, end) && !fields.has('driftPpm')) {
    throw new Refusal(
      'invalid',
      'malformed-case',
      'driftPpm is missing, but start and end are of one clock session; give the drift to allow for, such as 100',
    );
  }
  const measured = elapsed(start, end, fields.has('driftPpm') ? fields.number('driftPpm') : 0);
  return {
    id,
    ...measured,
    verdict: judgeDuration(measured, { minMs: window.wholeMs('minMs'), maxMs: window.wholeMs('maxMs') }),
  };
}

function readStamp(fields: Fields): Stamp {
  fields.onlyKeys('at', 'uncertaintyMs', 'clockSession', 'monotonicMs');
  return {
    at: fields.instant('at'),
    uncertaintyMs: fields.wholeMs('uncertaintyMs'),
    ...(fields.has('clockSession') && { clockSession: fields.text('clockSession') }),
    ...(fields.has('monotonicMs') && { monotonicMs: fields.wholeMs('monotonicMs') }),
  };
}
