import { useQuery, useQueryClient } from '@tanstack/react-query';
import { createContext, type ReactNode, use, useCallback, useEffect, useMemo, useSyncExternalStore } from 'react';
import { atBench, type Role } from '../../core/people/roles.js';
import { api, credentials, got, isReached, Problem, whenSessionIsLost } from '../api.js';
import type { Session } from '../api.paths.js';
import { actingPass, actsAlone, actUnder, endPass, lookForPass, whenPassChanges } from '../offline/acting.js';
import { leaveDevice } from '../offline/held-bench.js';
import { answered, forgetAnswers, isAway, keepAnswer } from '../offline/kept-answers.js';
import type { OpenedPass } from '../offline/pass-store.js';
import { endLater, endWhatEnded, takeEnding } from '../offline/passes.js';
import { timeFormat, type TimeFormat } from '../parts/format.js';
import { LOCALE } from '../parts/locale.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SignIn, SignInAgain } from './SignIn.js';
import { APP_WORDS } from './words.js';

export interface SessionContext extends Session {
  format: TimeFormat;
  may: (...roles: Role[]) => boolean;
  signOut: () => Promise<void>;
  /** Goes on as the person of a session that was opened in the place of this one. */
  begin: (session: Session) => void;
  /** Goes on as the person of a day pass, while the server cannot hear of it. */
  goOnUnder: (pass: OpenedPass) => Promise<void>;
  /** Whether a day pass says who acts, and not the session that the server knows. */
  underPass: boolean;
  /** Asks who badged in where nobody was signed in to sign in, so that the server knows somebody here; null where it does. */
  signInToSend: (() => void) | null;
}

const Context = createContext<SessionContext | null>(null);

/** Who is signed in and where; for screens, which only exist inside a session. */
export function useSession(): SessionContext {
  const session = use(Context);
  if (!session) throw new Error('useSession belongs inside SessionGate');
  return session;
}

/** How often somebody came in on this page. */
let begun = 0;

let lost = false;
const listeners = new Set<() => void>();
function setLost(to: boolean): void {
  lost = to;
  listeners.forEach((listener) => listener());
}
/**
 * A request may still have gone out under a session that another took the place of meanwhile, so that it alone was refused:
 * whether anybody is signed in is asked before a person is troubled. That question may have gone out too early as well:
 * where somebody came in before its answer, it says nothing of them.
 */
async function lookForSession(): Promise<void> {
  const before = begun;
  try {
    await got(api.GET('/api/session'));
    setLost(false);
  } catch (problem) {
    // Who badged in alone knows that nobody is signed in, and goes on with hands that are not free.
    if (problem instanceof Problem && problem.status === 401 && begun === before && !actsAlone()) setLost(true);
  }
}
whenSessionIsLost(() => void lookForSession());

function useLost(): boolean {
  return useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => void listeners.delete(listener);
    },
    () => lost,
  );
}

/** What a person needs to work at the bench; of everything else that was looked at, the next person sees nothing. */
const BENCH_TOPICS: readonly unknown[] = ['session', 'runs', 'stock', 'plans'];
const AGAIN_MS = 2_000;

/** The session as pages see it while a day pass says who acts: without the token that changes anything but the bench. */
function sessionUnder({ person, laboratory }: OpenedPass): Session {
  credentials.csrf = null;
  credentials.personId = person.id;
  return { person, laboratory, csrf: '' };
}

/** Who is signed in, or was while the server is out of reach; null when nobody is, or nobody that this device knows of. */
async function current(): Promise<Session | null> {
  const before = begun;
  const pass = await lookForPass();
  if (pass) return sessionUnder(pass);
  const session = (await endWhatEnded()) ? null : await known();
  // Somebody came in while this was asked: what it answers is old, and nobody looks at it.
  if (begun !== before) return session;
  if (session === null && isReached()) await leaveDevice();
  credentials.csrf = session?.csrf ?? null;
  credentials.personId = session?.person.id ?? null;
  return session;
}

async function known(): Promise<Session | null> {
  try {
    return await answered('session', () => got(api.GET('/api/session')));
  } catch (problem) {
    if (problem instanceof Problem && (problem.status === 401 || (problem.passing && !isReached()))) return null;
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
    queryFn: current,
    staleTime: Number.POSITIVE_INFINITY,
    retry: (_tries, problem) => problem instanceof Problem && problem.passing,
    retryDelay: 1_000,
  });

  const onSignedIn = useCallback(
    (session: Session) => {
      begun += 1;
      const another = credentials.personId !== null && credentials.personId !== session.person.id;
      credentials.csrf = session.csrf;
      credentials.personId = session.person.id;
      void endPass();
      void (another ? forgetAnswers() : Promise.resolve()).then(() => keepAnswer('session', session));
      void queries.cancelQueries({ queryKey: ['session'] });
      if (another) {
        // Who works at the bench goes on with it at once; what is pressed while it is asked anew is not lost.
        const stay = atBench(session.person.roles).length > 0 ? BENCH_TOPICS : ['session'];
        queries.removeQueries({ predicate: ({ queryKey: [topic] }) => !stay.includes(topic) });
      }
      queries.setQueryData(['session'], session);
      setLost(false);
      void queries.invalidateQueries({ predicate: ({ queryKey: [topic] }) => topic !== 'session' });
    },
    [queries],
  );

  const onBadgedIn = useCallback(
    async (pass: OpenedPass) => {
      begun += 1;
      // The answer to a question that was asked before must not sign them out.
      await queries.cancelQueries({ queryKey: ['session'] });
      await actUnder({ ...pass, under: await takeEnding() });
      queries.setQueryData(['session'], sessionUnder(pass));
    },
    [queries],
  );

  useEffect(() => whenPassChanges(() => void queries.invalidateQueries({ queryKey: ['session'] })), [queries]);
  const signedOut = data === null;
  useEffect(() => {
    if (!signedOut) return undefined;
    // What was ended without the server ends there once it is back; it may also know a session that this device does not.
    const timer = setInterval(() => void (isReached() ? endWhatEnded() : refetch()), AGAIN_MS);
    return () => clearInterval(timer);
  }, [signedOut, refetch]);

  const context = useMemo((): SessionContext | null => {
    if (!data) return null;
    return {
      ...data,
      format: timeFormat(data.laboratory.zone, LOCALE),
      may: (...roles) => roles.some((role) => data.person.roles.includes(role)),
      begin: onSignedIn,
      underPass: data.csrf === '',
      signInToSend: actsAlone() ? () => setLost(true) : null,
      goOnUnder: async (pass) => {
        const before = actingPass();
        const under = before ? before.under : { personId: data.person.id, csrf: data.csrf };
        await actUnder({ ...pass, under });
        queries.removeQueries({ predicate: ({ queryKey: [topic] }) => !BENCH_TOPICS.includes(topic) });
        queries.setQueryData(['session'], sessionUnder(pass));
      },
      signOut: async () => {
        const pass = actingPass();
        const held = pass ? pass.under : { personId: data.person.id, csrf: data.csrf };
        try {
          if (held) await got(api.DELETE('/api/session', { headers: { 'X-CSRF-Token': held.csrf } }));
        } catch (problem) {
          if (!isAway(problem)) throw problem;
          if (held) await endLater(held);
        }
        await endPass();
        credentials.csrf = null;
        credentials.personId = null;
        await leaveDevice();
        queries.removeQueries({ predicate: ({ queryKey: [topic] }) => topic !== 'session' });
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
  if (!context) return <SignIn onSignedIn={onSignedIn} onBadgedIn={onBadgedIn} />;
  return (
    <Context value={context}>
      {children}
      {ended && (
        <SignInAgain
          login={context.person.login}
          onSignedIn={onSignedIn}
          {...(context.signInToSend && { onClose: () => setLost(false) })}
        />
      )}
    </Context>
  );
}
