import { useQuery } from '@tanstack/react-query';
import { use, useEffect, useSyncExternalStore } from 'react';
import { guideFor, type GuideId, type Task } from '../../core/guide/tasks.js';
import { api, got } from '../api.js';
import { useSession } from '../app/session.js';
import { kept } from '../parts/kept.js';
import { Here } from '../parts/opens.js';

/** A reviewer's page hears nothing by itself, since a question is a look; this one asks of nothing but their own acts. */
const REVIEWER_AGAIN_MS = 10_000;

const listeners = new Set<() => void>();

/** A small text that this device keeps for one person; null while it keeps none. */
function useKept(name: string): [string | null, (value: string) => void] {
  const value = useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => void listeners.delete(listener);
    },
    () => kept.read(name),
  );
  return [
    value,
    (to) => {
      kept.write(name, to);
      listeners.forEach((listener) => listener());
    },
  ];
}

/** What the person is led through, and how far they are. */
export interface Guiding {
  id: GuideId;
  tasks: readonly Task[];
  done: ReadonlySet<string>;
  /** The first that is not done; null once all are. */
  next: Task | null;
  /** Whether it was put away from the pages on this device. */
  away: boolean;
  setAway: (away: boolean) => void;
}

/** Null for whoever is led through nothing, and while the server has not said how far they are. */
export function useGuide(): Guiding | null {
  const { person, laboratory } = useSession();
  const guide = guideFor(person.roles, laboratory.demo);
  const still = guide?.id === 'reviewer';
  const { data } = useQuery({
    // Under the key of the record, since each of its entries may be what a task waits for.
    queryKey: ['record', 'guide', person.id],
    queryFn: () => got(api.GET('/api/guide')),
    enabled: guide !== null,
    ...(still && { refetchInterval: REVIEWER_AGAIN_MS }),
  });
  const [away, setAway] = useKept(`guide.away.${person.id}`);
  const seen = useVisits(`guide.seen.${person.id}`, guide?.tasks ?? []);
  if (!guide || !data) return null;
  const done = new Set([...data.done, ...seen]);
  return {
    ...guide,
    done,
    next: guide.tasks.find(({ id }) => !done.has(id)) ?? null,
    away: away === 'yes',
    setAway: (to) => setAway(to ? 'yes' : 'no'),
  };
}

/** The tasks whose page was opened on this device; the page that is open now is noted. */
function useVisits(name: string, tasks: readonly Task[]): readonly string[] {
  const [value, setValue] = useKept(name);
  const seen = value === null || value === '' ? [] : value.split(' ');
  const here = use(Here);
  const fresh = tasks
    .filter(({ id, told }) => 'visits' in told && told.visits === here && !seen.includes(id))
    .map(({ id }) => id);
  const noted = [...seen, ...fresh].join(' ');
  useEffect(() => {
    if (noted !== (value ?? '')) setValue(noted);
  });
  return seen;
}
