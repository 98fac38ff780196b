import { useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { shortLabel } from '../parts/format.js';
import { Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { amountText, changeText, useCounts } from './ledger.js';
import { LEDGER_WORDS } from './words.js';

const words = LEDGER_WORDS.counts;
type Filter = keyof typeof words.filters;

/** What counts found, beside what the ledger said. */
export function Report() {
  const { format } = useSession();
  const { name } = useCatalogue();
  const [show, setShow] = useParam('show');
  const filter: Filter = show === 'variances' ? 'variances' : 'all';
  const counts = useCounts(filter === 'variances');
  const all = counts.data?.pages.flatMap(({ items }) => items) ?? [];
  const { columns } = words;
  return (
    <>
      <div className="finder">
        <SelectField
          label={words.onlyVariances}
          value={filter}
          onChange={(value) => setShow(value === 'all' ? null : value)}
          options={Object.entries(words.filters).map(([id, each]) => ({ id: id as Filter, name: each }))}
        />
      </div>
      {!counts.data && <Waiting error={counts.error} onRetry={() => void counts.refetch()} />}
      {counts.data && all.length === 0 && <p>{words.noReport}</p>}
      {all.length > 0 && (
        <div className="table-place">
          <table>
            <thead>
              <tr>
                {Object.values(columns).map((each) => (
                  <th key={each} scope="col">
                    {each}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {all.map(({ id, at, label, reagent, expected, counted, variance, reason, person }) => (
                <tr key={id}>
                  <td data-label={columns.when} className="figures">
                    {format.dayAndClock(at)}
                  </td>
                  <th scope="row" data-label={columns.container}>
                    {shortLabel(label)} <span className="small">{name(reagent)}</span>
                  </th>
                  <td data-label={columns.expected} className="figures">
                    {amountText(expected)}
                  </td>
                  <td data-label={columns.counted} className="figures">
                    {amountText(counted)}
                  </td>
                  <td data-label={columns.variance} className="figures">
                    {variance.value === 0 ? '0' : <strong>{changeText(variance)}</strong>}
                  </td>
                  <td data-label={columns.reason}>{reason}</td>
                  <td data-label={columns.who}>{person}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      {counts.hasNextPage && (
        <Button onPress={() => void counts.fetchNextPage()} isDisabled={counts.isFetchingNextPage}>
          {words.more}
        </Button>
      )}
    </>
  );
}
