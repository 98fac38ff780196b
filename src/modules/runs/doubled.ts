import { Refusal } from '../../core/refusal.js';
import type { RunEvent } from '../../core/run/events.js';
import { effectiveEvents } from '../../core/run/state.js';
import { namesOf } from '../../store/questions/people.js';
import type { View } from '../../store/view.js';

/** Refusals of what somebody did already, here or at another station. */
const DOUBLED = ['step-running', 'step-done', 'step-not-running'];

/** The same refusal with who did the step's last act, when and whether at another station; any other error as it is. */
export async function saidByWhom(
  view: View,
  error: unknown,
  { events, step, device }: { events: readonly RunEvent[]; step?: string; device: string },
): Promise<unknown> {
  if (!(error instanceof Refusal) || !DOUBLED.includes(error.code)) return error;
  const last = effectiveEvents(events).findLast(
    ({ kind, data }) => (kind === 'step-started' || kind === 'step-ended') && 'step' in data && data.step === step,
  );
  if (!last) return error;
  const name = (await namesOf(view, [last.personId]))[last.personId] ?? 'Somebody';
  const where = last.stamp.device === device ? '' : ', from another device';
  const did = last.kind === 'step-started' ? 'started' : 'ended';
  return new Refusal(
    error.kind,
    error.code,
    `${error.message} ${name} ${did} it at ${last.stamp.at}${where}.`,
    error.problems,
  );
}
