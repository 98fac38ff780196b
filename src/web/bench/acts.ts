import { useQueryClient } from '@tanstack/react-query';
import type { BenchStamp, RunEvent, RunEventData } from '../../core/run/events.js';
import type { RunView } from '../../core/run/view.js';
import type { Instant } from '../../core/time/instant.js';
import { api, got, once } from '../api.js';
import type { BenchEventKind, NewRunEvent } from '../api.paths.js';
import { carryOut, intent, type Intent, PERSISTENT } from '../parts/change.js';
import { say, sayProblem } from '../parts/notices.js';
import { benchClock } from '../parts/ticker.js';
import { BENCH_KEY, EVENT_KEY, type EventToSend } from './bench.js';
import { BENCH } from './words.js';

/** What the server answers to an event. */
type Sent = { event: RunEvent };
type Bench = { serverTime: Instant; runs: RunView[] };

export type Record = <K extends BenchEventKind>(
  runId: string,
  kind: K,
  data: RunEventData[K],
  how?: {
    /** When it happened; now when absent. */
    stamp?: BenchStamp;
    /** Said once the server has it, with a way to undo it. */
    said?: string;
  },
) => void;

/**
 * Records what happens in a run: it shows at once, is sent in order, tried again under the same key until the server has
 * it, and can be undone by a correction.
 */
export function useRecord(): Record {
  const queries = useQueryClient();

  function send(runId: string, event: NewRunEvent, said?: string): void {
    const sending = queries.getMutationCache().build<Sent, Error, Intent<EventToSend>, unknown>(queries, {
      ...PERSISTENT,
      mutationKey: EVENT_KEY,
      // One after the other within a run, so that an end never overtakes its start.
      scope: { id: `run ${runId}` },
      mutationFn: carryOut((input, key) =>
        got(
          api.POST('/api/runs/{id}/events', {
            params: { path: { id: input.runId } },
            body: input.event,
            ...once(key),
          }),
        ),
      ),
      onSuccess: (sent) => {
        queries.setQueryData(BENCH_KEY, (bench: Bench | undefined) => bench && withEvent(bench, sent.event));
        if (said !== undefined) say(said, { word: BENCH.log.undo, run: () => undo(runId, sent.event.id) });
      },
      onError: sayProblem,
      onSettled: () => queries.invalidateQueries({ queryKey: ['runs'] }),
    });
    // A failure has been told by then.
    sending.execute(intent({ runId, event })).catch(() => undefined);
  }

  function undo(runId: string, event: string): void {
    const data = { event, withdrawn: true, reason: BENCH.log.undoReason } as const;
    send(runId, { kind: 'corrected', data, stamp: benchClock.now() });
  }

  return (runId, kind, data, { stamp = benchClock.now(), said } = {}) => send(runId, { kind, data, stamp }, said);
}

function withEvent(bench: Bench, event: RunEvent): Bench {
  return {
    ...bench,
    runs: bench.runs.map((run) =>
      run.id === event.runId && !run.events.some(({ id }) => id === event.id)
        ? { ...run, events: [...run.events, event] }
        : run,
    ),
  };
}
