import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import { type Sampled, SAMPLED } from '../../core/ask/sampled.js';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { Nothing, Page, Part } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Thing } from './links.js';
import { PeriodFields, ScopeNote, usePeriod } from './period.js';
import './review.css';
import { REVIEW } from './words.js';

const words = REVIEW.sample;

interface Draw {
  of: Sampled;
  n: number;
  seed?: string;
  from: string;
  to: string;
}

/** A random sample with its seed, its population and how anyone can draw it again. */
export default function SampleScreen() {
  const period = usePeriod();
  const [of, setOf] = useState<Sampled>('runs');
  const [n, setN] = useState('10');
  const [seed, setSeed] = useState('');
  const draw = useDraw();
  const many = Number(n);
  const ready = Number.isInteger(many) && many >= 1 && many <= 500 && /^[A-Za-z0-9-]{0,64}$/.test(seed);
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      <ScopeNote scope={period.scope} />
      {period.ready && (
        <Form
          className="finder"
          onSubmit={(event) => {
            event.preventDefault();
            const { from, to } = period;
            if (ready) draw.mutate({ of, n: many, from, to, ...(seed !== '' && { seed }) });
          }}
        >
          <SelectField<Sampled>
            label={words.of}
            value={of}
            onChange={setOf}
            options={SAMPLED.map((id) => ({ id, name: words.kinds[id] }))}
          />
          <PeriodFields period={period} />
          <Field label={words.n} value={n} onChange={setN} inputMode="numeric" />
          <Field label={words.seed} help={words.seedHelp} value={seed} onChange={setSeed} autoComplete="off" />
          <Button look="main" type="submit" isDisabled={!ready || draw.isPending}>
            {words.draw}
          </Button>
        </Form>
      )}
      <ProblemNote problem={draw.error} />
      {draw.data && <Drawn data={draw.data} query={draw.variables} />}
      <p className="small">{REVIEW.caution}</p>
    </Page>
  );
}

type Sample = NonNullable<ReturnType<typeof useDraw>['data']>;

/** Each draw is recorded, so nothing but the button draws. */
function useDraw() {
  return useMutation({
    mutationFn: (query: Draw) => got(api.GET('/api/review/sample', { params: { query } })),
  });
}

function Drawn({ data, query }: { data: Sample; query: Draw }) {
  const { format } = useSession();
  if (data.population === 0) {
    return (
      <Nothing title={words.none}>
        <p>{words.noneHelp}</p>
      </Nothing>
    );
  }
  const { from, to, of, seed, population, populationHash, members } = data;
  return (
    <>
      <Part title={`${words.kinds[of]}: ${words.drawn(members.length, population)}`}>
        <dl className="facts">
          <div>
            <dt>{words.seed}</dt>
            <dd>
              <code>{seed}</code>
            </dd>
          </div>
          <div>
            <dt>{words.population}</dt>
            <dd className="figures">
              {population}, {format.day(from)} – {format.lastDay(to)}
            </dd>
          </div>
          <div>
            <dt>{words.hash}</dt>
            <dd>
              <code className="hash">{populationHash}</code>
            </dd>
          </div>
        </dl>
        <p>
          <Button onPress={() => print()}>{words.print}</Button>
        </p>
        <div className="table-place">
          <table>
            <thead>
              <tr>
                <th scope="col">{REVIEW.ask.number}</th>
                <th scope="col">{REVIEW.requirements.time}</th>
                <th scope="col">{REVIEW.requirements.what}</th>
                <th scope="col">{words.id}</th>
              </tr>
            </thead>
            <tbody>
              {members.map(({ id, at, kind, ref, what }, n) => (
                <tr key={id}>
                  <th scope="row" className="figures">
                    {n + 1}
                  </th>
                  <td data-label={REVIEW.requirements.time} className="figures">
                    {format.dayAndClock(at)}
                  </td>
                  <td data-label={REVIEW.requirements.what}>
                    <Thing kind={kind} id={ref}>
                      {what}
                    </Thing>
                  </td>
                  <td data-label={words.id}>
                    <code className="hash">{id}</code>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </Part>
      <Part title={words.method} about={words.methodText}>
        <p>
          <a
            href={`/api/review/population.csv?${new URLSearchParams({ of, from: query.from, to: query.to }).toString()}`}
            download
          >
            {words.populationCsv}
          </a>
        </p>
        <pre className="review-how">
          <code>{`while read id; do printf '%s  %s\\n' "$(printf '%s' "${seed}:$id" | sha256sum | cut -c1-64)" "$id"; done < ids.txt | LC_ALL=C sort | head -n ${members.length}`}</code>
        </pre>
      </Part>
    </>
  );
}
