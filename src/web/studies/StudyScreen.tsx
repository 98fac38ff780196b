import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Study } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { asWords } from '../parts/format.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { SignatureBlock } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { DecideSheet } from './DecideSheet.js';
import { PairForm } from './PairForm.js';
import { Results } from './Results.js';
import './studies.css';
import { figures } from '../parts/numbers.js';
import { STUDIES } from './words.js';

const words = STUDIES.page;
const above = { href: '/controls/lots', word: STUDIES.title };

/** One comparison: the plan, the pairs, what they show, the signed decision. */
export default function StudyScreen({ study: id = '' }: ScreenProps) {
  const { may } = useSession();
  const { name } = useCatalogue();
  const { data, error, refetch } = useQuery({
    queryKey: ['studies', id],
    // The client's types make lists of core's pairs of numbers.
    queryFn: async () => (await got(api.GET('/api/studies/{id}', { params: { path: { id } } }))) as Study,
  });
  const [deciding, setDeciding] = useState(false);
  if (!data) {
    return (
      <Page title={STUDIES.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  const open = data.decision === undefined;
  return (
    <Page
      title={STUDIES.against(data.lot.number, data.oldLot.number)}
      above={above}
      about={
        <p className="tag-line">
          {name(data.lot.reagent)}{' '}
          <Tag frame={open ? 'double' : data.decision?.standing === 'accepted' ? 'plain' : 'full'}>
            {data.decision ? STUDIES.standings[data.decision.standing] : STUDIES.open}
          </Tag>
        </p>
      }
      ways={
        open &&
        may('manager', 'director') && (
          <Button look="main" isDisabled={!data.results} onPress={() => setDeciding(true)}>
            {words.decide}
          </Button>
        )
      }
    >
      <Plan study={data} />
      {open && may('technician', 'releaser', 'manager', 'director') && (
        <Part title={words.enter}>
          <PairForm study={data} />
        </Part>
      )}
      <Part title={words.results}>
        {data.results ? <Results study={data} results={data.results} /> : <p>{words.tooFew}</p>}
        {open && !may('manager', 'director') && <p className="small">{words.notYours}</p>}
      </Part>
      {data.decision && (
        <Part title={words.decided}>
          <p>{data.decision.reason}</p>
          {data.decision.deviation !== null && (
            <p>
              {words.deviation}: {data.decision.deviation}
            </p>
          )}
          <SignatureBlock
            signature={data.decision.signature}
            act={data.decision.signature.meaning === 'responsibility' ? 'reject' : undefined}
          />
        </Part>
      )}
      <Part title={words.pairs}>
        <PairTable study={data} open={open} />
      </Part>
      {deciding && <DecideSheet study={data} onClose={() => setDeciding(false)} />}
    </Page>
  );
}

function Plan({ study }: { study: Study }) {
  const { format } = useSession();
  const { criteria, design, counted } = study;
  const wanted =
    'low' in criteria
      ? `${words.what.equivalence} ${criteria.low}, ${criteria.high}`
      : (['agreement', 'lowerLimit', 'kappa'] as const)
          .flatMap((what) => (criteria[what] === undefined ? [] : [`${words.what[what]} ${criteria[what]}`]))
          .join('; ');
  const facts: [string, string][] = [
    [words.planned, format.dayAndClock(study.at)],
    [words.protocol, asWords(study.protocolId)],
    [
      words.measured,
      study.unit === null || study.unit === '1' ? study.measurand : `${study.measurand} (${study.unit})`,
    ],
    [words.pairs, STUDIES.progress(counted, design.pairs)],
    [words.reason, design.reason],
    [words.criteria, wanted],
  ];
  return (
    <dl className="facts">
      {facts.map(([fact, value]) => (
        <div key={fact}>
          <dt>{fact}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}

function PairTable({ study, open }: { study: Study; open: boolean }) {
  const { may } = useSession();
  const [asked, setAsked] = useState<Study['pairs'][number] | null>(null);
  const { pairs, categories, lot, oldLot } = study;
  const shown = (value: number) => categories?.[value] ?? figures(value);
  if (pairs.length === 0) return <p>{words.none}</p>;
  const acts = open && may('technician', 'manager', 'director');
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.material}</th>
            <th scope="col">{words.old(oldLot.number)}</th>
            <th scope="col">{words.fresh(lot.number)}</th>
            {acts && <th scope="col">{words.leaveOut}</th>}
          </tr>
        </thead>
        <tbody>
          {[...pairs].reverse().map((pair) => (
            <tr key={pair.id}>
              <th scope="row">
                {pair.material} {pair.excluded !== null && <Tag frame="soft">{words.leftOut}</Tag>}
                {pair.excluded !== null && <span className="small">{pair.excluded}</span>}
              </th>
              <td data-label={words.old(oldLot.number)} className="figures">
                {shown(pair.old)}
              </td>
              <td data-label={words.fresh(lot.number)} className="figures">
                {shown(pair.new)}
              </td>
              {acts && (
                <td data-label={words.leaveOut}>
                  {pair.excluded === null && (
                    <Button look="quiet" aria-label={words.leaveOutTitle(pair.material)} onPress={() => setAsked(pair)}>
                      {words.leaveOut}
                    </Button>
                  )}
                </td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
      {asked && <LeaveOutSheet study={study} pair={asked} onClose={() => setAsked(null)} />}
    </div>
  );
}

function LeaveOutSheet({ study, pair, onClose }: { study: Study; pair: Study['pairs'][number]; onClose: () => void }) {
  const queries = useQueryClient();
  const [reason, setReason] = useState('');
  const send = useChange(
    (body: { reason: string }, key) =>
      got(
        api.POST('/api/studies/{id}/pairs/{pair}/exclusion', {
          params: { path: { id: study.id, pair: pair.id } },
          body,
          ...once(key),
        }),
      ),
    async () => {
      onClose();
      await queries.invalidateQueries({ queryKey: ['studies'] });
    },
  );
  return (
    <Sheet title={words.leaveOutTitle(pair.material)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (reason.trim() !== '') send.ask({ reason: reason.trim() });
        }}
      >
        <Field label={words.why} value={reason} onChange={setReason} isRequired takesFocus />
        <ProblemNote problem={send.error} />
        <Button type="submit" look="main" isDisabled={send.isPending || reason.trim() === ''}>
          {words.leaveOut}
        </Button>
      </Form>
    </Sheet>
  );
}
