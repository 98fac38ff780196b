import { useMutation } from '@tanstack/react-query';
import { lazy, Suspense, useState, useSyncExternalStore } from 'react';
import { Form } from 'react-aria-components';
import { api, got, isReached, whenReachChanges } from '../api.js';
import type { Session } from '../api.paths.js';
import type { OpenedPass } from '../offline/pass-store.js';
import { endWhatEnded } from '../offline/passes.js';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { APP_WORDS } from './words.js';

const BadgeIn = lazy(() => import('../handover/BadgeIn.js'));

const words = APP_WORDS.signIn;

/** The sign-in screen; while the server is out of reach also the way in by badge and PIN. */
export function SignIn({
  onSignedIn,
  onBadgedIn,
}: {
  onSignedIn: (session: Session) => void;
  onBadgedIn: (pass: OpenedPass) => Promise<void>;
}) {
  const reached = useSyncExternalStore(whenReachChanges, isReached);
  // Later the focus stays where it is: a password that somebody is typing must not end up in sight.
  const [begunAway] = useState(!reached);
  return (
    <main className="lone">
      <p className="product">{APP_WORDS.product}</p>
      <h1>{words.title}</h1>
      {!reached && <p role="status">{words.away}</p>}
      {!reached && (
        <Suspense fallback={<p className="opening">{APP_WORDS.opening}</p>}>
          <BadgeIn takesFocus={begunAway} onBadgedIn={onBadgedIn} />
        </Suspense>
      )}
      <SignInForm onSignedIn={onSignedIn} login="" takesFocus={!begunAway} />
      <p className="small">{words.caution}</p>
    </main>
  );
}

/** A dialog over the work that goes on, when its session ended; it can be put off where somebody acts without one. */
export function SignInAgain({
  login,
  onSignedIn,
  onClose,
}: {
  login: string;
  onSignedIn: (session: Session) => void;
  onClose?: () => void;
}) {
  return (
    <Sheet title={onClose ? words.toSend : words.again} urgent {...(onClose && { onClose, closeWord: WORDS.cancel })}>
      <p>{onClose ? words.toSendHelp : words.againHelp}</p>
      <SignInForm onSignedIn={onSignedIn} login={login} takesFocus />
    </Sheet>
  );
}

function SignInForm({
  onSignedIn,
  login: first,
  takesFocus,
}: {
  onSignedIn: (session: Session) => void;
  login: string;
  takesFocus: boolean;
}) {
  const [login, setLogin] = useState(first);
  const [password, setPassword] = useState('');
  const signIn = useMutation({
    mutationFn: async () => {
      // While this browser still holds what it takes to end it.
      await endWhatEnded();
      return got(api.POST('/api/session', { body: { login: login.trim().toLowerCase(), password } }));
    },
    onSuccess: onSignedIn,
    networkMode: 'always',
  });
  return (
    <Form
      className="form"
      onSubmit={(event) => {
        event.preventDefault();
        signIn.mutate();
      }}
    >
      <Field
        label={words.login}
        value={login}
        onChange={setLogin}
        autoComplete="username"
        takesFocus={takesFocus && first === ''}
        isRequired
      />
      <Field
        label={words.password}
        type="password"
        value={password}
        onChange={setPassword}
        autoComplete="current-password"
        takesFocus={takesFocus && first !== ''}
        isRequired
      />
      <ProblemNote problem={signIn.error} />
      <Button look="main" type="submit" isDisabled={signIn.isPending}>
        {signIn.isPending ? WORDS.sending : words.action}
      </Button>
    </Form>
  );
}
