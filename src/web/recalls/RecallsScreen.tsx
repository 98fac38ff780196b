import { useInfiniteQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form, Link } from 'react-aria-components';
import { navigate } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Lot } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { csvOf, Export } from '../parts/Export.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { Nothing, Page, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { ScanField } from '../parts/ScanField.js';
import { Sheet } from '../parts/Sheet.js';
import { usePeopleNames } from '../stock/stock.js';
import { WORDS } from '../words.js';
import { findLots } from './find.js';
import { RECALLS as words } from './words.js';

/** Every recall, and the way to start one. */
export default function RecallsScreen() {
  const { may, format } = useSession();
  const { name } = useCatalogue();
  const nameOf = usePeopleNames();
  const [starting, setStarting] = useState(false);
  const recalls = useInfiniteQuery({
    queryKey: ['stock', 'recalls'],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/recalls', { params: { query: { take: 50, ...(pageParam !== null && { after: pageParam }) } } }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
  const all = recalls.data?.pages.flatMap(({ items }) => items);
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        <>
          {may('manager', 'director') ? (
            <Button onPress={() => setStarting(true)}>{words.start}</Button>
          ) : (
            <p className="small">{words.onlyManagers}</p>
          )}
          <Export files={[csvOf('recalls/list.csv')]} />
        </>
      }
    >
      {!all && <Waiting error={recalls.error} onRetry={() => void recalls.refetch()} />}
      {all?.length === 0 && (
        <Nothing title={words.empty}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {all && all.length > 0 && (
        <ul className="lines">
          {all.map((recall) => (
            <li key={recall.id}>
              <p>
                <Link href={`/stock/recalls/${recall.id}`} className="line-title">
                  {name(recall.reagent)}, {words.lot(recall.number)}
                </Link>{' '}
                <span className="small figures">
                  {words.recalledOn(format.dayAndClock(recall.at))} {nameOf(recall.personId)}
                </span>
              </p>
              <p>{recall.reason}</p>
              <p className="small">
                {words.shipments(recall.shipments.length)}, {words.preparations(recall.preparations.length)}
              </p>
            </li>
          ))}
        </ul>
      )}
      {recalls.hasNextPage && (
        <div>
          <Button onPress={() => void recalls.fetchNextPage()}>{words.more}</Button>
        </div>
      )}
      {starting && <StartSheet onClose={() => setStarting(false)} />}
    </Page>
  );
}

function StartSheet({ onClose }: { onClose: () => void }) {
  const queries = useQueryClient();
  const { name } = useCatalogue();
  const [lot, setLot] = useState<Lot | null>(null);
  const [reason, setReason] = useState('');
  const [notice, setNotice] = useState('');
  const look = useChange(
    (text: string) => findLots(text),
    (found) => {
      const [only, ...others] = found;
      if (only && others.length === 0) setLot(only);
    },
  );
  const send = useChange(
    (body: { lotId: string; reason: string; notice?: string }, key) =>
      got(api.POST('/api/recalls', { body, ...once(key) })),
    async (recall) => {
      say(words.done(recall.number));
      await queries.invalidateQueries({ queryKey: ['stock'] });
      navigate(`/stock/recalls/${recall.id}`);
    },
  );
  const asked = look.variables?.input ?? '';
  return (
    <Sheet title={words.start} onClose={onClose} closeWord={WORDS.cancel}>
      <p>{words.startAbout}</p>
      {lot === null && (
        <>
          <ScanField label={words.scan} action={words.look} busy={look.isPending} onText={look.ask} />
          <ProblemNote problem={look.error} />
          {look.data?.length === 0 && <p role="status">{words.notFound(asked)}</p>}
          {look.data && look.data.length > 1 && (
            <>
              <p>{words.pick}</p>
              <ul className="lines">
                {look.data.map((each) => (
                  <li key={each.id}>
                    <Button onPress={() => setLot(each)}>
                      {name(each.reagent)}, {words.lot(each.number)}
                    </Button>{' '}
                    <span className="small">{each.source}</span>
                  </li>
                ))}
              </ul>
            </>
          )}
        </>
      )}
      {lot !== null && (
        <Form
          className="form"
          onSubmit={(event) => {
            event.preventDefault();
            send.ask({
              lotId: lot.id,
              reason: reason.trim(),
              ...(notice.trim() !== '' && { notice: notice.trim() }),
            });
          }}
        >
          <p>
            {words.chosen}{' '}
            <strong>
              {name(lot.reagent)}, {words.lot(lot.number)}
            </strong>{' '}
            <Button look="quiet" onPress={() => setLot(null)}>
              {words.other}
            </Button>
          </p>
          <Field
            label={words.reason}
            help={words.reasonHelp}
            value={reason}
            onChange={setReason}
            lines={2}
            isRequired
          />
          <Field label={words.notice} help={words.noticeHelp} value={notice} onChange={setNotice} lines={3} />
          <ProblemNote problem={send.error} />
          <Button look="main" type="submit" isDisabled={send.isPending || reason.trim() === ''}>
            {send.isPending ? WORDS.sending : words.action}
          </Button>
        </Form>
      )}
    </Sheet>
  );
}
