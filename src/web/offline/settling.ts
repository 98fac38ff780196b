import { useQueries, useQuery } from '@tanstack/react-query';
import { useEffect, useEffectEvent, useState } from 'react';
import { devicesHolding } from '../../core/run/devices.js';
import { runState } from '../../core/run/state.js';
import type { RunView } from '../../core/run/view.js';
import { useSession } from '../app/session.js';
import { useRecord } from '../bench/acts.js';
import { benchQuery } from '../bench/bench.js';
import { benchClock } from '../parts/ticker.js';
import { runQuery } from '../release/run.js';
import { useOutbox } from './outbox.js';

/** What this device sends right after counts as its word just as well. */
const SOON_MS = 1_000;

/**
 * Says of the runs of the bench that this device holds nothing more, once that is what a release waits for; also of runs
 * that another station cleared from the bench meanwhile.
 */
export function useSettledBench(): void {
  // Looks at what the bench knows already and asks for nothing.
  const { data } = useQuery({ ...benchQuery, enabled: false });
  const runs = data?.runs ?? NONE;
  const [touched, setTouched] = useState<readonly string[]>([]);
  const fresh = runs.filter((run) => !touched.includes(run.id) && isTouched(run)).map(({ id }) => id);
  if (fresh.length > 0) setTouched([...touched, ...fresh]);
  const cleared = useQueries({
    queries: touched.filter((id) => !runs.some((run) => run.id === id)).map((id) => runQuery(id)),
    combine: (answers) => answers.flatMap(({ data: run }) => run ?? []),
  });
  useSettled([...runs, ...cleared]);
}

/** Says of these runs that this device holds nothing more of them, once that is what a release waits for. */
export function useSettled(runs: readonly RunView[]): void {
  const { may } = useSession();
  const record = useRecord();
  const outbox = useOutbox();
  const allowed = may('technician', 'releaser');
  const due = allowed
    ? runs.filter(({ id, ...view }) => !outbox.some(({ runId }) => runId === id) && isAwaited(view)).map(({ id }) => id)
    : [];
  const settle = useEffectEvent((ids: readonly string[]) => {
    const { device } = benchClock;
    ids.forEach((id) => record(id, 'device-settled', { device }));
  });
  const key = due.join(' ');
  useEffect(() => {
    if (key === '') return undefined;
    const timer = setTimeout(() => settle(key.split(' ')), SOON_MS);
    return () => clearTimeout(timer);
  }, [key]);
}

const NONE: readonly RunView[] = [];

/** Whether this device entered something in the run, so that a release may come to wait for its word. */
function isTouched({ events }: Pick<RunView, 'events'>): boolean {
  return events.some(({ stamp }) => stamp.device === benchClock.device && stamp.unsent !== undefined);
}

/** Whether a release of the run waits for the word of this device. */
function isAwaited({ revision: { content }, events }: Pick<RunView, 'revision' | 'events'>): boolean {
  if (!isTouched({ events })) return false;
  const { steps } = runState(content, events);
  return content.releasePoints.some(({ after }) => {
    const ended = steps.find(({ step }) => step.id === after)?.performances.findLast((each) => each.ended)?.ended;
    const reached = events.find(({ id }) => id === ended?.eventId);
    return reached !== undefined && devicesHolding(events, reached).some(({ device }) => device === benchClock.device);
  });
}
