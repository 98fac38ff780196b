import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import type { BenchRun } from '../../core/run/next.js';
import type { RunEvent } from '../../core/run/events.js';
import { runState } from '../../core/run/state.js';
import type { RunView } from '../../core/run/view.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import { api, got } from '../api.js';
import type { Waiting } from '../offline/device.js';
import { answered } from '../offline/kept-answers.js';
import { useOutbox } from '../offline/outbox.js';
import { asWords } from '../parts/format.js';
import { planOf, useCurrentPlan } from '../plan/queries.js';

/** A run as the bench shows it: with what was entered here and not sent yet. */
export interface Standing extends BenchRun {
  view: RunView;
  /** Ids of its events that the server has not confirmed. */
  unsent: ReadonlySet<string>;
}

export const BENCH_KEY = ['runs', 'bench'] as const;
/** The name under which the device keeps what it answered last. */
export const BENCH_ANSWER = 'bench';

const states = new WeakMap<RunView, Standing>();
const NONE: ReadonlySet<string> = new Set();

export const benchQuery = {
  queryKey: BENCH_KEY,
  queryFn: () => answered(BENCH_ANSWER, () => got(api.GET('/api/bench'))),
};

/** Every run on the benches, soonest started first. */
export function useBench(): { runs: Standing[] | undefined; error: Error | null; refetch: () => void } {
  const { data, error, refetch } = useQuery(benchQuery);
  const outbox = useOutbox();
  const { data: planned } = useCurrentPlan();
  const runs = useMemo(() => {
    const waiting = outbox.filter(({ refused }) => refused === null);
    return data?.runs.map((view) => {
      const run = standing(
        view,
        waiting.filter(({ runId }) => runId === view.id),
      );
      const plan = planned?.plan && planOf(planned.plan, view.id);
      return plan ? { ...run, plan } : run;
    });
  }, [data, outbox, planned]);
  return { runs, error, refetch: () => void refetch() };
}

function standing(view: RunView, waiting: readonly Waiting[]): Standing {
  if (waiting.length === 0) {
    const known = states.get(view) ?? stand(view, NONE);
    states.set(view, known);
    return known;
  }
  const events = waiting.map(({ event, key, by }, n) => ({
    id: key,
    runId: view.id,
    // After everything that the server has numbered.
    seq: Number.MAX_SAFE_INTEGER - waiting.length + n,
    kind: event.kind,
    data: event.data,
    stamp: event.stamp,
    personId: by.personId,
    receivedAt: event.stamp.at,
  })) as RunEvent[];
  return stand({ ...view, events: [...view.events, ...events] }, new Set(events.map(({ id }) => id)));
}

function stand(view: RunView, unsent: ReadonlySet<string>): Standing {
  const { id, startedAt, subjects, revision, events } = view;
  return { id, startedAt, subjects, state: runState(revision.content, events), view, unsent };
}

/** Names of reagents and which of them come from the tap; a code that is not in the catalogue reads as words. */
export function useCatalogue(): {
  reagents: readonly Reagent[];
  name: (code: string) => string;
  fromTap: (code: string) => boolean;
} {
  const { data } = useQuery({
    queryKey: ['stock', 'reagents'],
    queryFn: () => answered('reagents', () => got(api.GET('/api/reagents'))),
    staleTime: 600_000,
  });
  return useMemo(() => {
    const byCode = new Map<string, Reagent>(data?.map((reagent) => [reagent.code, reagent]));
    return {
      reagents: data ?? [],
      name: (code) => byCode.get(code)?.name ?? asWords(code),
      fromTap: (code) => byCode.get(code)?.kind === 'water',
    };
  }, [data]);
}
