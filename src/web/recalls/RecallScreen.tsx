import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form, Link } from 'react-aria-components';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Concerned, RecallView } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { usePeopleNames } from '../stock/stock.js';
import { WORDS } from '../words.js';
import { useRecall } from './recalls.js';
import { Counts, ReachedRuns, Tree } from './Tree.js';
import { RECALLS as words } from './words.js';

const above = { href: '/stock/recalls', word: words.title };

/** One recall: what it set aside, where it went, whom it touches, and who was told. */
export default function RecallScreen({ recall: id = '' }: ScreenProps) {
  const { format } = useSession();
  const { name } = useCatalogue();
  const nameOf = usePeopleNames();
  const { data, error, refetch } = useRecall(id);
  if (!data) {
    return (
      <Page title={words.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  return (
    <Page
      title={`${name(data.reagent)}, ${words.lot(data.number)}`}
      above={above}
      about={
        <>
          <p>{data.reason}</p>
          <p className="small figures">
            {words.recalledOn(format.dayAndClock(data.at))} {nameOf(data.personId)}
          </p>
        </>
      }
      ways={
        <>
          <Link href={`/lookbacks/${data.lookbackId}`} className="button">
            {words.toLookback}
          </Link>
          <a href={`/api/recalls/${id}/runs.csv`} download className="button button-quiet">
            {words.csv}
          </a>
        </>
      }
    >
      {data.notice !== null && <blockquote>{data.notice}</blockquote>}
      <Counts counts={data.trace.counts} />
      <Part title={words.tree} about={words.treeHelp}>
        <Tree roots={data.trace.roots} lots={data.trace.lots} />
      </Part>
      <Part title={words.people} about={words.peopleHelp}>
        <People recall={data} />
      </Part>
      <Part title={words.runs}>
        <ReachedRuns of="recall" id={id} lots={data.trace.lots} />
      </Part>
    </Page>
  );
}

function People({ recall }: { recall: RecallView }) {
  const { format, may } = useSession();
  const [telling, setTelling] = useState<Concerned | 'other' | null>(null);
  const acting = may('manager', 'director', 'releaser');
  return (
    <>
      {recall.people.length === 0 && <p>{words.nobody}</p>}
      <ul className="lines">
        {recall.people.map((person) => {
          const { name, ran, released, told } = person;
          const did = [ran > 0 && words.ran(ran), released > 0 && words.releasedCount(released)].filter(Boolean);
          return (
            <li key={(person.personId ?? '') + name}>
              <p className="tag-line">
                <strong>{name}</strong> <span className="small">{did.join(', ')}</span>
                {told === null ? <Tag frame="double">{words.notTold}</Tag> : null}
                {told !== null && (
                  <span className="figures">{words.told(format.dayAndClock(told.at), told.how, told.byName)}</span>
                )}
                {acting && told === null && (
                  <Button onPress={() => setTelling(person)} aria-label={words.tellTitle(name)}>
                    {words.tell}
                  </Button>
                )}
              </p>
            </li>
          );
        })}
      </ul>
      {acting && (
        <div>
          <Button look="quiet" onPress={() => setTelling('other')}>
            {words.tellOther}
          </Button>
        </div>
      )}
      {telling !== null && <TellSheet recallId={recall.id} who={telling} onClose={() => setTelling(null)} />}
    </>
  );
}

function TellSheet({ recallId, who, onClose }: { recallId: string; who: Concerned | 'other'; onClose: () => void }) {
  const queries = useQueryClient();
  const [name, setName] = useState('');
  const [how, setHow] = useState('');
  const send = useChange(
    (body: { personId?: string; name?: string; how: string }, key) =>
      got(api.POST('/api/recalls/{id}/told', { params: { path: { id: recallId } }, body, ...once(key) })),
    async () => {
      say(words.tellDone);
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock', 'recall', recallId] });
    },
  );
  const named =
    who === 'other' ? { name: name.trim() } : who.personId === null ? { name: who.name } : { personId: who.personId };
  return (
    <Sheet
      title={who === 'other' ? words.tellOther : words.tellTitle(who.name)}
      onClose={onClose}
      closeWord={WORDS.cancel}
    >
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({ ...named, how: how.trim() });
        }}
      >
        {who === 'other' && <Field label={words.who} value={name} onChange={setName} isRequired />}
        <Field label={words.how} help={words.howHelp} value={how} onChange={setHow} isRequired />
        <ProblemNote problem={send.error} />
        <Button
          look="main"
          type="submit"
          isDisabled={send.isPending || how.trim() === '' || (who === 'other' && name.trim() === '')}
        >
          {send.isPending ? WORDS.sending : words.tellAction}
        </Button>
      </Form>
    </Sheet>
  );
}
