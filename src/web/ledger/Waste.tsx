import { Waiting } from '../parts/Page.js';
import { benchClock } from '../parts/ticker.js';
import { priceText } from '../parts/numbers.js';
import { amountText, useWaste } from './ledger.js';
import { LEDGER_WORDS } from './words.js';

const words = LEDGER_WORDS.waste;

/** What was thrown away or is past its end in the twelve months up to this one. */
export function Waste() {
  const to = benchClock.now().at.slice(0, 7);
  const waste = useWaste(yearBefore(to), to);
  if (!waste.data) return <Waiting error={waste.error} onRetry={() => void waste.refetch()} />;
  const { items } = waste.data;
  if (items.length === 0) return <p>{words.none}</p>;
  const { columns } = words;
  return (
    <>
      <p className="figures">{words.total(priceText(items.reduce((sum, { cents }) => sum + cents, 0)))}</p>
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
            {items.map(({ month, reagent, name, discarded, expired, cents, unpriced }) => (
              <tr key={month + reagent}>
                <td data-label={columns.month} className="figures">
                  {month}
                </td>
                <th scope="row" data-label={columns.reagent}>
                  {name}
                </th>
                <td data-label={columns.discarded} className="figures">
                  {discarded.value > 0 ? amountText(discarded) : ''}
                </td>
                <td data-label={columns.expired} className="figures">
                  {expired.value > 0 ? amountText(expired) : ''}
                </td>
                <td data-label={columns.cost} className="figures">
                  {cents > 0 && priceText(cents)}{' '}
                  {unpriced > 0 && <span className="small">{words.unpriced(unpriced)}</span>}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </>
  );
}

function yearBefore(month: string): string {
  const [year = 0, number = 1] = month.split('-').map(Number);
  return number === 12 ? `${year}-01` : `${year - 1}-${String(number + 1).padStart(2, '0')}`;
}
