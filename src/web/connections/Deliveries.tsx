import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Delivery, Endpoint } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { say } from '../parts/notices.js';
import { Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { deliveriesQuery } from './connections.js';
import { CONNECTIONS } from './words.js';

const words = CONNECTIONS.deliveries;

const FRAMES = { waiting: 'soft', delivered: 'plain', 'given up': 'double' } as const;

/** What became of each message. */
export function Deliveries({ endpoints, keeps }: { endpoints: readonly Endpoint[]; keeps: boolean }) {
  const { data, error, refetch } = useQuery(deliveriesQuery);
  return (
    <Part title={words.title} about={words.about}>
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.items.length === 0 && <p>{words.empty}</p>}
      <ul className="lines">
        {data?.items.map((delivery) => (
          <li key={delivery.id}>
            <DeliveryLine
              delivery={delivery}
              to={endpoints.find(({ id }) => id === delivery.webhookId)?.name ?? delivery.webhookId}
              keeps={keeps}
            />
          </li>
        ))}
      </ul>
    </Part>
  );
}

function DeliveryLine({ delivery, to, keeps }: { delivery: Delivery; to: string; keeps: boolean }) {
  const { format } = useSession();
  const queries = useQueryClient();
  const { id, at, topic, state, attempts, error, body } = delivery;
  const what = topic === 'trial' ? CONNECTIONS.trialTopic : CONNECTIONS.topics[topic].name;
  const again = useChange(
    (_: null, key) => got(api.POST('/api/webhooks/deliveries/{id}/again', { params: { path: { id } }, ...once(key) })),
    async () => {
      say(words.sentAgain);
      await queries.invalidateQueries({ queryKey: ['connections'] });
    },
  );
  return (
    <>
      <p className="tag-line">
        {what} · {to} <span className="small figures">{format.dayAndClock(at)}</span>
        <Tag frame={FRAMES[state]}>{words.states[state]}</Tag>
        {attempts > 0 && <span className="small">{words.attempts(attempts)}</span>}
        {keeps && state === 'given up' && (
          <Button
            isDisabled={again.isPending}
            onPress={() => again.ask(null)}
            aria-label={`${words.again}: ${what}, ${format.dayAndClock(at)}`}
          >
            {words.again}
          </Button>
        )}
      </p>
      {error !== null && <p className="small">{error}</p>}
      <ProblemNote problem={again.error} />
      <details>
        <summary className="small">{words.body}</summary>
        <pre className="small delivery-body">{body}</pre>
      </details>
    </>
  );
}
