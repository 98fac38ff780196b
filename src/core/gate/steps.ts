import { gapWindow, stepWindow } from '../protocol/windows.js';
import { eventsOf, type Performance, type RunState, type StepState } from '../run/state.js';
import { elapsed, judgeDuration, type Stamp, type Window } from '../time/duration.js';
import { span } from '../time/span.js';
import type { Finding } from './finding.js';
import { finding } from './make-finding.js';
import { toCelsius } from './temperature.js';

/**
 * What speaks against the steps up to `last`: left out, not ended, repeated, out of order, too short, too long, too far
 * apart, at the wrong temperature, ended by nobody's eye. Steps after the last one done are not missing but to come.
 */
export function stepFindings(state: RunState, last: number, driftPpm: number): Finding[] {
  const steps = state.steps.slice(0, last + 1);
  const furthest = steps.findLastIndex(({ performances }) => performances.length > 0);
  let before: StepState | null = null;
  const findings: Finding[] = [];
  for (const current of steps.slice(0, furthest + 1)) {
    if (current.performances.length === 0) {
      if (!current.step.optional) findings.push(missing(current));
      continue;
    }
    findings.push(...performed(current, state, driftPpm));
    if (before) findings.push(...between(before, current, driftPpm));
    before = current;
  }
  return findings;
}

function missing({ step }: StepState): Finding {
  return finding('step-missing', {
    about: step.id,
    step,
    what: `${step.action} was not recorded, though later steps were.`,
  });
}

function performed(current: StepState, state: RunState, driftPpm: number): Finding[] {
  const { step, performances } = current;
  const findings = worstDuration(current, driftPpm);
  const [first] = performances;
  if (performances.length > 1) {
    findings.push(
      finding('step-repeated', {
        about: step.id,
        step,
        at: performances[1]?.started.stamp.at ?? null,
        what: `${step.action} was done ${performances.length} times.`,
        measured: `${performances.length} times`,
        against: 'once',
      }),
    );
  }
  const ended = performances.findLast(({ ended }) => ended)?.ended;
  if (step.end === 'eye' && ended && !ended.judgedBy) {
    findings.push(
      finding('eye-not-named', {
        about: step.id,
        step,
        at: ended.stamp.at,
        what: `${step.action} ends by eye, and nobody is named who judged it.`,
      }),
    );
  }
  return [...findings, ...temperatureFindings(current, state, first)];
}

/** Of several performances each is measured; one finding for the step, a sure offence before one that may be none. */
function worstDuration({ step, performances }: StepState, driftPpm: number): Finding[] {
  const window = stepWindow(step);
  const offences = performances.flatMap(({ started, ended }) => {
    const found = ended && durationFinding(started.stamp, ended.stamp, window, driftPpm);
    return found ? [{ ...found, at: ended.stamp.at }] : [];
  });
  const sure = offences.find(({ verdict }) => verdict !== 'undecided');
  const unended = performances.find(({ ended }) => !ended);
  if (unended && !sure) {
    return [
      finding('step-not-ended', {
        about: step.id,
        step,
        at: unended.started.stamp.at,
        what: `${step.action} started and has no recorded end.`,
      }),
    ];
  }
  const worst = sure ?? offences[0];
  if (!worst) return [];
  const { verdict, measured, at } = worst;
  const word = { short: 'was too short', long: 'was too long', undecided: 'may or may not have kept its time' }[
    verdict
  ];
  return [
    finding(`step-${verdict}`, {
      about: step.id,
      step,
      at,
      what: `${step.action} ${word}.`,
      measured,
      against: inWords(window),
    }),
  ];
}

function between(before: StepState, current: StepState, driftPpm: number): Finding[] {
  const { step } = current;
  const start = current.performances[0]?.started;
  const end = before.performances.at(-1)?.ended ?? before.performances[0]?.started;
  if (!start || !end) return [];
  if (precedes(start.stamp, end.stamp)) {
    return [
      finding('step-order', {
        about: step.id,
        step,
        at: start.stamp.at,
        what: `${step.action} started before ${before.step.action} was over.`,
        measured: start.stamp.at,
        against: `not before ${end.stamp.at}`,
      }),
    ];
  }
  const window = gapWindow(step);
  if (!window || !before.performances.at(-1)?.ended) return [];
  const found = durationFinding(end.stamp, start.stamp, window, driftPpm);
  if (!found || found.verdict === 'short') return [];
  const word = found.verdict === 'long' ? 'too long passed' : 'too long may have passed';
  return [
    finding(`gap-${found.verdict}`, {
      about: step.id,
      step,
      at: start.stamp.at,
      what: `Between ${before.step.action} and ${step.action} ${word}.`,
      measured: found.measured,
      against: inWords(window),
    }),
  ];
}

/** Surely earlier, whatever the uncertainty of both; within one clock session the steady clock tells. */
function precedes(one: Stamp, other: Stamp): boolean {
  if (
    one.clockSession !== undefined &&
    one.clockSession === other.clockSession &&
    one.monotonicMs != null &&
    other.monotonicMs != null
  ) {
    return one.monotonicMs < other.monotonicMs;
  }
  if (one.uncertaintyMs === null || other.uncertaintyMs === null) return false;
  return Date.parse(one.at) + one.uncertaintyMs < Date.parse(other.at) - other.uncertaintyMs;
}

function durationFinding(
  start: Stamp,
  end: Stamp,
  window: Window,
  driftPpm: number,
): { verdict: 'short' | 'long' | 'undecided'; measured: string } | null {
  const open = window.minMs === null && window.maxMs === null;
  if (open || precedes(end, start)) return open ? null : { verdict: 'undecided', measured: 'an end before the start' };
  const measured = elapsed(start, end, driftPpm);
  const verdict = judgeDuration(measured, window);
  if (verdict === 'within') return null;
  const half = measured.uncertaintyMs === null ? 'unknown uncertainty' : `give or take ${span(measured.uncertaintyMs)}`;
  return {
    verdict: verdict === 'indeterminate' ? 'undecided' : verdict,
    measured: `${span(measured.durationMs)}, ${half}`,
  };
}

function inWords({ minMs, maxMs }: Window): string {
  if (minMs !== null && maxMs !== null) return `${span(minMs)} to ${span(maxMs)}`;
  return minMs !== null ? `at least ${span(minMs)}` : `at most ${span(maxMs ?? 0)}`;
}

function temperatureFindings({ step }: StepState, state: RunState, first: Performance | undefined): Finding[] {
  const { temperature } = step;
  if (!temperature) return [];
  const readings = eventsOf(state.events, 'temperature-read').filter(({ data }) => data.step === step.id);
  if (temperature.record && readings.length === 0) {
    return [
      finding('temperature-missing', {
        about: step.id,
        step,
        at: first?.started.stamp.at ?? null,
        what: `No temperature was read for ${step.action}.`,
      }),
    ];
  }
  const min = temperature.min === undefined ? -Infinity : toCelsius(temperature.min, temperature.unit);
  const max = temperature.max === undefined ? Infinity : toCelsius(temperature.max, temperature.unit);
  const outside = readings.find(
    ({ data }) => toCelsius(data.value, data.unit) < min || toCelsius(data.value, data.unit) > max,
  );
  if (!outside) return [];
  return [
    finding('temperature-outside', {
      about: step.id,
      step,
      at: outside.stamp.at,
      what: `The temperature of ${step.action} lay outside its limits.`,
      measured: `${outside.data.value} ${outside.data.unit}`,
      against: `${temperature.min ?? 'any'} to ${temperature.max ?? 'any'} ${temperature.unit}`,
    }),
  ];
}
