import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { TOPICS, type Topic } from '../../core/webhook/topics.js';
import { api, got, once } from '../api.js';
import type { Endpoint } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice, Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say, sayProblem } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { CONNECTIONS } from './words.js';

const words = CONNECTIONS.edit;

interface Wanted {
  name: string;
  url: string;
  topics: Topic[];
}

/** Adds an endpoint, whose secret is then shown once, or changes one. */
export function EndpointSheet({ endpoint, onClose }: { endpoint?: Endpoint; onClose: () => void }) {
  const queries = useQueryClient();
  const [name, setName] = useState(endpoint?.name ?? '');
  const [url, setUrl] = useState(endpoint?.url ?? '');
  const [topics, setTopics] = useState<Topic[]>(endpoint?.topics ?? []);
  const refresh = () => queries.invalidateQueries({ queryKey: ['connections'] });
  const send = useChange(
    async (body: Wanted, key): Promise<{ name: string; secret: string | null }> => {
      if (endpoint === undefined) return got(api.POST('/api/webhooks', { body }));
      const path = { id: endpoint.id };
      const changed = await got(api.PATCH('/api/webhooks/{id}', { params: { path }, body, ...once(key) }));
      return { name: changed.name, secret: null };
    },
    async ({ name: now, secret }) => {
      await refresh();
      if (secret !== null) return;
      say(words.done(now));
      onClose();
    },
  );
  if (send.data?.secret) return <SecretSheet name={send.data.name} secret={send.data.secret} onClose={onClose} />;
  const ready = name.trim() !== '' && url.trim() !== '' && topics.length > 0;
  return (
    <Sheet title={endpoint ? words.title(endpoint.name) : words.addTitle} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask({ name: name.trim(), url: url.trim(), topics });
        }}
      >
        <Field label={words.name} help={words.nameHelp} value={name} onChange={setName} autoComplete="off" isRequired />
        <Field label={words.url} help={words.urlHelp} value={url} onChange={setUrl} autoComplete="off" isRequired />
        <fieldset className="endpoint-topics">
          <legend>{words.topics}</legend>
          <div className="choice-options">
            {TOPICS.map((topic) => (
              <Tick
                key={topic}
                on={topics.includes(topic)}
                onChange={(on) => setTopics(TOPICS.filter((each) => (each === topic ? on : topics.includes(each))))}
              >
                <span className="choice-name">{CONNECTIONS.topics[topic].name}</span>
                <span className="choice-more">{CONNECTIONS.topics[topic].more}</span>
              </Tick>
            ))}
          </div>
        </fieldset>
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : endpoint ? words.changeAction : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

/** Makes the next secret, shown once. */
export function RotateSheet({ endpoint: { id, name }, onClose }: { endpoint: Endpoint; onClose: () => void }) {
  const queries = useQueryClient();
  const [hours, setHours] = useState<keyof typeof own.hours>('24');
  const own = CONNECTIONS.rotate;
  const send = useChange(
    (overlapHours: number) =>
      got(api.POST('/api/webhooks/{id}/secret', { params: { path: { id } }, body: { overlapHours } })),
    () => queries.invalidateQueries({ queryKey: ['connections'] }),
  );
  if (send.data) return <SecretSheet name={name} secret={send.data.secret} onClose={onClose} />;
  return (
    <Sheet title={own.title(name)} onClose={onClose} closeWord={WORDS.cancel}>
      <p>{own.about}</p>
      <Choice
        label={own.field}
        options={(['24', '168', '0'] as const).map((each) => ({ id: each, name: own.hours[each] }))}
        value={hours}
        onChange={setHours}
      />
      <ProblemNote problem={send.error} />
      <Button look="main" isDisabled={send.isPending} onPress={() => send.ask(Number(hours))}>
        {send.isPending ? WORDS.sending : own.action}
      </Button>
    </Sheet>
  );
}

function SecretSheet({ name, secret, onClose }: { name: string; secret: string; onClose: () => void }) {
  const own = CONNECTIONS.given;
  return (
    <Sheet title={own.title(name)}>
      <p>{own.about}</p>
      <code className="endpoint-secret">{secret}</code>
      {'clipboard' in navigator && (
        <Button
          onPress={() => {
            navigator.clipboard.writeText(secret).then(() => say(own.copied), sayProblem);
          }}
        >
          {own.copy}
        </Button>
      )}
      <Button look="main" onPress={onClose}>
        {own.kept}
      </Button>
    </Sheet>
  );
}
