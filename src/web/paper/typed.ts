import type { PaperEntry } from '../api.paths.js';

/** A line of the form: times as their fields show them, empty where the sheet says nothing. */
export interface TypedStep {
  startedAt: string;
  endedAt: string;
  lasted: string;
}

export interface TypedTray {
  reagent: string;
  container: string;
  label: string;
  at: string;
}

export const EMPTY: TypedStep = { startedAt: '', endedAt: '', lasted: '' };

/** Seconds of '5:30', '330' or '12.5'; null for what is neither. */
export function secondsOf(text: string): number | null {
  const found = /^(?:(\d{1,5}):([0-5]?\d(?:[.,]\d+)?)|(\d{1,7}(?:[.,]\d+)?))$/.exec(text.trim());
  if (!found) return null;
  const [, minutes, rest, alone] = found;
  const number = (digits: string | undefined): number => Number((digits ?? '0').replace(',', '.'));
  return alone === undefined ? number(minutes) * 60 + number(rest) : number(alone);
}

export type StepFault = 'orphan' | 'both' | 'badDuration';

/** What is wrong with a line; null when nothing is. */
export function faultOf({ startedAt, endedAt, lasted }: TypedStep): StepFault | null {
  if (lasted !== '' && secondsOf(lasted) === null) return 'badDuration';
  if (startedAt === '' && (endedAt !== '' || lasted !== '')) return 'orphan';
  return endedAt !== '' && lasted !== '' ? 'both' : null;
}

/** The lines that say something, as the server takes them. */
export function stepsOf(steps: readonly { id: string; typed: TypedStep }[]): PaperEntry['steps'] {
  return steps.flatMap(({ id, typed: { startedAt, endedAt, lasted } }) => {
    if (startedAt === '') return [];
    const lastedSec = lasted === '' ? null : secondsOf(lasted);
    return [
      {
        step: id,
        startedAt: instant(startedAt),
        ...(endedAt !== '' && { endedAt: instant(endedAt) }),
        ...(lastedSec !== null && { lastedSec }),
      },
    ];
  });
}

export function instant(shown: string): string {
  return new Date(shown).toISOString();
}
