import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got } from '../api.js';
import type { Session } from '../api.paths.js';
import { endWhatEnded } from '../offline/passes.js';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { APP_WORDS } from './words.js';

const words = APP_WORDS.signIn;

/** The sign-in screen; with `over`, the login whose session ended, a dialog over the work that goes on. */
export function SignIn({ onSignedIn, over }: { onSignedIn: (session: Session) => void; over?: string }) {
  if (over !== undefined) {
    return (
      <Sheet title={words.again} urgent>
        <p>{words.againHelp}</p>
        <SignInForm onSignedIn={onSignedIn} login={over} />
      </Sheet>
    );
  }
  return (
    <main className="lone">
      <p className="product">{APP_WORDS.product}</p>
      <h1>{words.title}</h1>
      <SignInForm onSignedIn={onSignedIn} login="" />
      <p className="small">{words.caution}</p>
    </main>
  );
}

function SignInForm({ onSignedIn, login: first }: { onSignedIn: (session: Session) => void; login: string }) {
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
        takesFocus={first === ''}
        isRequired
      />
      <Field
        label={words.password}
        type="password"
        value={password}
        onChange={setPassword}
        autoComplete="current-password"
        takesFocus={first !== ''}
        isRequired
      />
      <ProblemNote problem={signIn.error} />
      <Button look="main" type="submit" isDisabled={signIn.isPending}>
        {signIn.isPending ? WORDS.sending : words.action}
      </Button>
    </Form>
  );
}
