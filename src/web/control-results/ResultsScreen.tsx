import { Link } from 'react-aria-components';
import { useQuery } from '@tanstack/react-query';
import { api, got } from '../api.js';
import { useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { useCatalogue } from '../bench/bench.js';
import { csvOf, Export } from '../parts/Export.js';
import { Finder } from '../parts/Finder.js';
import { asWords } from '../parts/format.js';
import { decimals } from '../parts/numbers.js';
import { Nothing, Page, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { WORDS } from '../words.js';
import { controlName, Readings, ResultTags } from './parts.js';
import { type LotResults, useLotResults, useResults } from './queries.js';
import { RESULTS } from './words.js';

const words = RESULTS.list;
type View = keyof typeof words.views;

/** Every reading of a control, and how each lot stained; what is shown stands in the address. */
export default function ResultsScreen() {
  const [protocol, setProtocol] = useParam('protocol');
  const [shown, setShown] = useParam('show');
  const protocols = useQuery({ queryKey: ['protocols'], queryFn: () => got(api.GET('/api/protocols')) });
  const view: View = shown === 'lots' ? 'lots' : 'results';
  const filter = protocol === null ? {} : { protocol };
  const results = useResults(filter, view === 'results');
  const lots = useLotResults(filter, view === 'lots');
  const found = (view === 'results' ? results : lots).data?.items.length;
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={<Export files={[csvOf('control-results/list.csv', filter)]} />}
    >
      <Finder found={found}>
        <SelectField
          label={words.protocol}
          value={protocol ?? 'any'}
          onChange={(id) => setProtocol(id === 'any' ? null : id)}
          options={[
            { id: 'any', name: words.anyProtocol },
            ...(protocols.data ?? []).map(({ id, title }) => ({ id, name: title })),
          ]}
        />
        <SelectField
          label={words.show}
          value={view}
          onChange={(id) => setShown(id === 'results' ? null : id)}
          options={Object.entries(words.views).map(([id, name]) => ({ id: id as View, name }))}
        />
      </Finder>
      {view === 'results' ? <Results results={results} /> : <ByLot lots={lots} />}
      <p className="small">{RESULTS.caution}</p>
    </Page>
  );
}

function Results({ results: { data, error, refetch } }: { results: ReturnType<typeof useResults> }) {
  const { format } = useSession();
  if (!data) return <Waiting error={error} onRetry={() => void refetch()} />;
  if (data.items.length === 0) return <None />;
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.control}</th>
            <th scope="col">{words.stain}</th>
            <th scope="col">{words.read}</th>
            <th scope="col">{words.result}</th>
          </tr>
        </thead>
        <tbody>
          {data.items.map((result) => (
            <tr key={result.id}>
              <th scope="row">{controlName(result)}</th>
              <td data-label={words.stain}>
                {result.runId === null ? words.alone : <Link href={`/release/${result.runId}`}>{result.title}</Link>}
              </td>
              <td data-label={words.read} className="figures">
                {format.dayAndClock(result.at)}
              </td>
              <td data-label={words.result}>
                <ResultTags result={result} />
                {!result.passed && <Link href={`/controls/failures/${result.id}`}>{RESULTS.failures.title}</Link>}
                <Readings result={result} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function ByLot({ lots: { data, error, refetch } }: { lots: ReturnType<typeof useLotResults> }) {
  if (!data) return <Waiting error={error} onRetry={() => void refetch()} />;
  if (data.items.length === 0) return <None />;
  return (
    <>
      <p>{words.lotsHelp}</p>
      <div className="table-place">
        <table>
          <thead>
            <tr>
              <th scope="col">{words.reagent}</th>
              <th scope="col">{words.lot}</th>
              <th scope="col">{words.count}</th>
              <th scope="col">{words.failedCount}</th>
              <th scope="col">{RESULTS.criteria}</th>
              <th scope="col">{words.period}</th>
            </tr>
          </thead>
          <tbody>
            {data.items.map((lot) => (
              <LotLine key={lot.lotId} lot={lot} />
            ))}
          </tbody>
        </table>
      </div>
    </>
  );
}

function LotLine({ lot: { reagent, lotId, number, results, failed, criteria, firstAt, lastAt } }: { lot: LotResults }) {
  const { format } = useSession();
  const { name } = useCatalogue();
  return (
    <tr>
      <th scope="row">{name(reagent)}</th>
      <td data-label={words.lot}>
        <Link href={`/stock/${lotId}`}>{number}</Link>
      </td>
      <td data-label={words.count} className="figures">
        {results}
      </td>
      <td data-label={words.failedCount} className="figures">
        {failed}
      </td>
      <td data-label={RESULTS.criteria}>
        {criteria.map(({ criterion, mean, judged, poor }) => (
          <p key={criterion}>
            {asWords(criterion)} {words.graded(decimals(mean, 1), judged, poor)}
          </p>
        ))}
      </td>
      <td data-label={words.period} className="figures">
        {format.dayAndClock(firstAt)} – {format.dayAndClock(lastAt)}
      </td>
    </tr>
  );
}

function None() {
  return (
    <Nothing title={words.none} first={{ href: '/runs/new', word: WORDS.begin.run }}>
      <p>{words.noneHelp}</p>
    </Nothing>
  );
}
