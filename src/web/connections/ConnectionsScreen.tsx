import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Endpoint } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { say } from '../parts/notices.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import './connections.css';
import { endpointsQuery } from './connections.js';
import { Deliveries } from './Deliveries.js';
import { EndpointSheet, RotateSheet } from './sheets.js';
import { CONNECTIONS as words } from './words.js';

/** Other programs that are told of what happens here, and what became of each message. */
export default function ConnectionsScreen() {
  const { may } = useSession();
  const keeps = may('administrator');
  const { data, error, refetch } = useQuery(endpointsQuery);
  const [adding, setAdding] = useState(false);
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={keeps && <Button onPress={() => setAdding(true)}>{words.edit.add}</Button>}
    >
      <Part title={words.endpoints} {...(!keeps && { about: words.readOnly })}>
        {!data && <Waiting error={error} onRetry={() => void refetch()} />}
        {data?.length === 0 && (
          <Nothing title={words.empty}>
            <p>{words.emptyHelp}</p>
          </Nothing>
        )}
        <ul className="lines">
          {data?.map((endpoint) => (
            <li key={endpoint.id} className="endpoint">
              <EndpointLine endpoint={endpoint} keeps={keeps} />
            </li>
          ))}
        </ul>
      </Part>
      {data && data.length > 0 && <Deliveries endpoints={data} keeps={keeps} />}
      {adding && <EndpointSheet onClose={() => setAdding(false)} />}
    </Page>
  );
}

function EndpointLine({ endpoint, keeps }: { endpoint: Endpoint; keeps: boolean }) {
  const { format } = useSession();
  const queries = useQueryClient();
  const [asked, setAsked] = useState<'change' | 'rotate' | null>(null);
  const { id, name, url, topics, active, secrets } = endpoint;
  const refresh = () => queries.invalidateQueries({ queryKey: ['connections'] });
  const path = { params: { path: { id } } };
  const trial = useChange(
    (_: null, key) => got(api.POST('/api/webhooks/{id}/trial', { ...path, ...once(key) })),
    async () => {
      say(words.trial.done);
      await refresh();
    },
  );
  const able = useChange(
    (to: boolean, key) => got(api.PATCH('/api/webhooks/{id}', { ...path, body: { active: to }, ...once(key) })),
    async ({ active: now }) => {
      say(now ? words.able.doneOn(name) : words.able.doneOff(name));
      await refresh();
    },
  );
  const close = (): void => setAsked(null);
  const [newest, before] = secrets;
  return (
    <>
      <div>
        <p className="endpoint-name">{name}</p>
        <p className="small endpoint-url">{url}</p>
        {newest && (
          <p className="small figures">
            {words.secret(format.dayAndClock(newest.createdAt))}
            {before?.until && <>; {words.oldSecret(format.dayAndClock(before.until))}</>}
          </p>
        )}
        <ProblemNote problem={trial.error ?? able.error} />
      </div>
      <p className="tag-line">
        {!active && <Tag frame="full">{words.off}</Tag>}
        {topics.map((topic) => (
          <Tag key={topic} frame={active ? 'plain' : 'soft'}>
            {words.topics[topic].name}
          </Tag>
        ))}
      </p>
      {keeps && (
        <div className="row-ways">
          <Button aria-label={`${words.edit.open}: ${name}`} onPress={() => setAsked('change')}>
            {words.edit.open}
          </Button>
          <Button aria-label={`${words.rotate.open}: ${name}`} onPress={() => setAsked('rotate')}>
            {words.rotate.open}
          </Button>
          <Button
            aria-label={`${words.trial.open}: ${name}`}
            isDisabled={!active || trial.isPending}
            onPress={() => trial.ask(null)}
          >
            {words.trial.open}
          </Button>
          <Button
            look="quiet"
            aria-label={`${active ? words.able.off : words.able.on}: ${name}`}
            isDisabled={able.isPending}
            onPress={() => able.ask(!active)}
          >
            {active ? words.able.off : words.able.on}
          </Button>
        </div>
      )}
      {asked === 'change' && <EndpointSheet endpoint={endpoint} onClose={close} />}
      {asked === 'rotate' && <RotateSheet endpoint={endpoint} onClose={close} />}
    </>
  );
}
