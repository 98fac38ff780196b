import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { type Role, rolesFault } from '../../core/people/roles.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Device } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say, sayProblem } from '../parts/notices.js';
import { Nothing, Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { RoleTicks } from './RoleTicks.js';
import { PEOPLE } from './words.js';

const words = PEOPLE.devices;

/** Devices with tokens of their own; a token is shown once, when it is made. */
export function Devices() {
  const { format } = useSession();
  const { data, error, refetch } = useQuery({
    queryKey: ['people', 'devices'],
    queryFn: () => got(api.GET('/api/devices')),
  });
  const [adding, setAdding] = useState(false);
  const [revoking, setRevoking] = useState<Device | null>(null);
  return (
    <Part title={words.title} about={words.about}>
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.length === 0 && (
        <Nothing title={words.empty}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      <ul className="lines">
        {data?.map((device) => (
          <li key={device.id} className="person">
            <div>
              <p className="person-name">{device.name}</p>
              <p className="small figures">{PEOPLE.since(format.dayAndClock(device.createdAt))}</p>
            </div>
            <p className="tag-line">
              {device.revokedAt !== null && (
                <Tag frame="full">{words.revoked(format.dayAndClock(device.revokedAt))}</Tag>
              )}
              {device.roles.map((role) => (
                <Tag key={role}>{PEOPLE.roles[role].name}</Tag>
              ))}
            </p>
            <div className="row-ways">
              {device.revokedAt === null && (
                <Button look="quiet" aria-label={`${words.revoke}: ${device.name}`} onPress={() => setRevoking(device)}>
                  {words.revoke}
                </Button>
              )}
            </div>
          </li>
        ))}
      </ul>
      <div>
        <Button onPress={() => setAdding(true)}>{words.open}</Button>
      </div>
      {adding && <AddDeviceSheet onClose={() => setAdding(false)} />}
      {revoking && <RevokeSheet device={revoking} onClose={() => setRevoking(null)} />}
    </Part>
  );
}

function AddDeviceSheet({ onClose }: { onClose: () => void }) {
  const queries = useQueryClient();
  const [name, setName] = useState('');
  const [roles, setRoles] = useState<Role[]>([]);
  const send = useChange(
    (body: { name: string; roles: Role[] }, key) => got(api.POST('/api/devices', { body, ...once(key) })),
    () => queries.invalidateQueries({ queryKey: ['people', 'devices'] }),
  );
  if (send.data) return <TokenSheet name={send.data.name} token={send.data.token} onClose={onClose} />;
  const ready = name.trim() !== '' && rolesFault(roles) === null;
  return (
    <Sheet title={words.addTitle} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask({ name: name.trim(), roles });
        }}
      >
        <Field label={words.name} help={words.nameHelp} value={name} onChange={setName} autoComplete="off" isRequired />
        <RoleTicks label={PEOPLE.add.roles} roles={roles} onChange={setRoles} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

function TokenSheet({ name, token, onClose }: { name: string; token: string | null; onClose: () => void }) {
  return (
    <Sheet title={words.tokenTitle(name)}>
      {token === null ? (
        <p className="held-note">{words.tokenLost}</p>
      ) : (
        <>
          <p>{words.tokenAbout}</p>
          <code className="token">{token}</code>
          {'clipboard' in navigator && (
            <Button
              onPress={() => {
                navigator.clipboard.writeText(token).then(() => say(words.copied), sayProblem);
              }}
            >
              {words.copy}
            </Button>
          )}
        </>
      )}
      <Button look="main" onPress={onClose}>
        {token === null ? WORDS.close : words.kept}
      </Button>
    </Sheet>
  );
}

function RevokeSheet({ device: { id, name }, onClose }: { device: Device; onClose: () => void }) {
  const queries = useQueryClient();
  const send = useChange(
    (_: null, key) => got(api.DELETE('/api/devices/{id}', { params: { path: { id } }, ...once(key) })),
    async () => {
      say(words.revokeDone(name));
      onClose();
      await queries.invalidateQueries({ queryKey: ['people', 'devices'] });
    },
  );
  return (
    <Sheet title={words.revokeTitle(name)} onClose={onClose} closeWord={WORDS.cancel}>
      <p>{words.revokeAbout}</p>
      <ProblemNote problem={send.error} />
      <Button look="main" isDisabled={send.isPending} onPress={() => send.ask(null)}>
        {send.isPending ? WORDS.sending : words.revokeAction}
      </Button>
    </Sheet>
  );
}
