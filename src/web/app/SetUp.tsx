import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { NewPasswordField } from '../parts/NewPasswordField.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { say } from '../parts/notices.js';
import { WORDS } from '../words.js';
import { navigate } from './router.js';
import { APP_WORDS } from './words.js';

const words = APP_WORDS.setUp;

/** Makes the first administrator by the one-time link that the program printed. */
export function SetUp({ token }: { token: string }) {
  const [laboratory, setLaboratory] = useState('');
  const [zone, setZone] = useState(Intl.DateTimeFormat().resolvedOptions().timeZone);
  const [name, setName] = useState('');
  const [login, setLogin] = useState('');
  const [password, setPassword] = useState('');
  const setUp = useChange(
    (_: null, key) =>
      got(
        api.POST('/api/setup', {
          ...once(key),
          body: {
            token,
            ...(laboratory.trim() !== '' && { laboratory: { name: laboratory.trim(), zone: zone.trim() } }),
            name: name.trim(),
            login: login.trim().toLowerCase(),
            password,
          },
        }),
      ),
    () => {
      navigate('/', 'replace');
      say(words.done);
    },
  );
  return (
    <main className="lone">
      <p className="product">{APP_WORDS.product}</p>
      <h1>{words.title}</h1>
      <p>{words.intro}</p>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          setUp.ask(null);
        }}
      >
        <Field label={words.laboratory} help={words.laboratoryHelp} value={laboratory} onChange={setLaboratory} />
        <Field label={words.zone} help={words.zoneHelp} value={zone} onChange={setZone} />
        <Field
          label={words.name}
          help={words.nameHelp}
          value={name}
          onChange={setName}
          autoComplete="name"
          isRequired
        />
        <Field
          label={words.login}
          help={words.loginHelp}
          value={login}
          onChange={setLogin}
          autoComplete="username"
          isRequired
        />
        <NewPasswordField label={words.password} help={words.passwordHelp} value={password} onChange={setPassword} />
        <ProblemNote problem={setUp.error} />
        <Button look="main" type="submit" isDisabled={setUp.isPending}>
          {setUp.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </main>
  );
}
