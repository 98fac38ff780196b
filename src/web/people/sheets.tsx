import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { type Role, rolesFault } from '../../core/people/roles.js';
import { api, got, once } from '../api.js';
import type { Person } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { NewPasswordField } from '../parts/NewPasswordField.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { RoleTicks } from './RoleTicks.js';
import { PEOPLE } from './words.js';

export function AddSheet({ onClose }: { onClose: () => void }) {
  const queries = useQueryClient();
  const words = PEOPLE.add;
  const [name, setName] = useState('');
  const [login, setLogin] = useState('');
  const [roles, setRoles] = useState<Role[]>([]);
  const [password, setPassword] = useState('');
  const send = useChange(
    (body: { name: string; login: string; roles: Role[]; password: string }, key) =>
      got(api.POST('/api/people', { body, ...once(key) })),
    async (person) => {
      say(words.done(person.name));
      onClose();
      await queries.invalidateQueries({ queryKey: ['people'] });
    },
  );
  const ready = name.trim() !== '' && login.trim() !== '' && password !== '' && rolesFault(roles) === null;
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask({ name: name.trim(), login: login.trim().toLowerCase(), roles, password });
        }}
      >
        <Field label={words.name} help={words.nameHelp} value={name} onChange={setName} autoComplete="off" isRequired />
        <Field
          label={words.login}
          help={words.loginHelp}
          value={login}
          onChange={setLogin}
          autoComplete="off"
          spellCheck="false"
          isRequired
        />
        <RoleTicks label={words.roles} roles={roles} onChange={setRoles} />
        <NewPasswordField label={words.password} help={words.passwordHelp} value={password} onChange={setPassword} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

type PersonChange = { roles?: Role[]; disabled?: boolean; password?: string };

/** Sends a change of an account; `said` is what the person reads once it is made. */
export function usePersonChange(person: Person, said: string, onClose: () => void) {
  const queries = useQueryClient();
  return useChange(
    (body: PersonChange, key) =>
      got(api.PATCH('/api/people/{id}', { params: { path: { id: person.id } }, body, ...once(key) })),
    async () => {
      say(said);
      onClose();
      await queries.invalidateQueries({ queryKey: ['people'] });
    },
  );
}

export function RoleSheet({ person, onClose }: { person: Person; onClose: () => void }) {
  const words = PEOPLE.roleSheet;
  const [roles, setRoles] = useState<Role[]>(person.roles);
  const send = usePersonChange(person, words.done(person.name), onClose);
  return (
    <Sheet title={words.title(person.name)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({ roles });
        }}
      >
        <RoleTicks label={PEOPLE.add.roles} roles={roles} onChange={setRoles} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || rolesFault(roles) !== null}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

export function PasswordSheet({ person, onClose }: { person: Person; onClose: () => void }) {
  const words = PEOPLE.password;
  const [password, setPassword] = useState('');
  const send = usePersonChange(person, words.done(person.name), onClose);
  return (
    <Sheet title={words.title(person.name)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({ password });
        }}
      >
        <p>{words.about}</p>
        <NewPasswordField label={words.field} help={PEOPLE.add.passwordHelp} value={password} onChange={setPassword} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || password === ''}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

export function AbleSheet({ person, onClose }: { person: Person; onClose: () => void }) {
  const words = PEOPLE.able;
  const { disabled, name } = person;
  const send = usePersonChange(person, words.done[disabled ? 'open' : 'closed'](name), onClose);
  return (
    <Sheet title={disabled ? `${words.enable}: ${name}` : words.title(name)} onClose={onClose} closeWord={WORDS.cancel}>
      {!disabled && <p>{words.about}</p>}
      <ProblemNote problem={send.error} />
      <Button look="main" isDisabled={send.isPending} onPress={() => send.ask({ disabled: !disabled })}>
        {send.isPending ? WORDS.sending : disabled ? words.enable : words.action}
      </Button>
    </Sheet>
  );
}
