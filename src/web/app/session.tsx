import { useQuery, useQueryClient } from '@tanstack/react-query';
import { createContext, type ReactNode, use, useCallback, useMemo, useSyncExternalStore } from 'react';
import type { Role } from '../../core/people/roles.js';
import { api, credentials, got, Problem, whenSessionIsLost } from '../api.js';
import type { Session } from '../api.paths.js';
import { answered, forgetAnswers, keepAnswer } from '../offline/kept-answers.js';
import { timeFormat, type TimeFormat } from '../parts/format.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SignIn } from './SignIn.js';
import { APP_WORDS } from './words.js';

export interface SessionContext extends Session {
  format: TimeFormat;
  may: (...roles: Role[]) => boolean;
  signOut: () => Promise<void>;
  /** Goes on as the person of a session that was opened in the place of this one. */
  begin: (session: Session) => void;
}

const Context = createContext<SessionContext | null>(null);

/** Who is signed in and where; for screens, which only exist inside a session. */
export function useSession(): SessionContext {
  const session = use(Context);
  if (!session) throw new Error('useSession belongs inside SessionGate');
  return session;
}

let lost = false;
const listeners = new Set<() => void>();
function setLost(to: boolean): void {
  lost = to;
  listeners.forEach((listener) => listener());
}
whenSessionIsLost(() => setLost(true));

function useLost(): boolean {
  return useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => void listeners.delete(listener);
    },
    () => lost,
  );
}

/** Who is signed in, or was while the server is out of reach; null when nobody is. */
async function current(): Promise<Session | null> {
  try {
    return await answered('session', () => got(api.GET('/api/session')));
  } catch (problem) {
    if (problem instanceof Problem && problem.status === 401) {
      await forgetAnswers();
      return null;
    }
    throw problem;
  }
}

/**
 * Shows the sign-in screen or, inside a session, what it wraps. A session that ends in the middle of work is renewed in
 * a dialog over the page, which stays as it is.
 */
export function SessionGate({ children }: { children: ReactNode }) {
  const queries = useQueryClient();
  const ended = useLost();
  const { data, error, refetch } = useQuery({
    queryKey: ['session'],
    queryFn: async () => {
      const session = await current();
      credentials.csrf = session?.csrf ?? null;
      credentials.personId = session?.person.id ?? null;
      return session;
    },
    staleTime: Number.POSITIVE_INFINITY,
    retry: (_tries, problem) => problem instanceof Problem && problem.passing,
    retryDelay: 1_000,
  });

  const onSignedIn = useCallback(
    (session: Session) => {
      const another = credentials.personId !== null && credentials.personId !== session.person.id;
      credentials.csrf = session.csrf;
      credentials.personId = session.person.id;
      void (another ? forgetAnswers() : Promise.resolve()).then(() => keepAnswer('session', session));
      if (another) queries.removeQueries({ predicate: ({ queryKey: [topic] }) => topic !== 'session' });
      queries.setQueryData(['session'], session);
      setLost(false);
      void queries.invalidateQueries({ predicate: ({ queryKey: [topic] }) => topic !== 'session' });
    },
    [queries],
  );

  const context = useMemo((): SessionContext | null => {
    if (!data) return null;
    return {
      ...data,
      format: timeFormat(data.laboratory.zone),
      may: (...roles) => roles.some((role) => data.person.roles.includes(role)),
      begin: onSignedIn,
      signOut: async () => {
        await got(api.DELETE('/api/session'));
        credentials.csrf = null;
        credentials.personId = null;
        await forgetAnswers();
        queries.clear();
        queries.setQueryData(['session'], null);
      },
    };
  }, [data, queries, onSignedIn]);

  if (error && data === undefined) {
    return (
      <main className="lone">
        <ProblemNote problem={error} onRetry={() => void refetch()} />
      </main>
    );
  }
  if (data === undefined) return <main className="lone">{APP_WORDS.opening}</main>;
  if (!context) return <SignIn onSignedIn={onSignedIn} />;
  return (
    <Context value={context}>
      {children}
      {ended && <SignIn onSignedIn={onSignedIn} over={context.person.login} />}
    </Context>
  );
}
