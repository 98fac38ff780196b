import { Link } from 'react-aria-components';
import { useChoice, useText } from '../app/router.js';
import type { OutlookLine } from '../api.paths.js';
import { Finder } from '../parts/Finder.js';
import { Nothing, Page, Tag, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { WORDS } from '../words.js';
import { amountText, dayText } from './amounts.js';
import { useOutlook } from './orders.js';
import './orders.css';
import { ORDERS } from './words.js';

const words = ORDERS.outlook;

type Filter = keyof typeof words.filters;

const FILTERS = Object.keys(words.filters) as Filter[];

/** What runs out when, the most pressing first. */
export default function OutlookScreen() {
  const { data, error, refetch } = useOutlook();
  const [wanted, setWanted] = useText('find');
  const [filter, setFilter] = useChoice('show', FILTERS, 'used');
  const text = wanted.trim().toLowerCase();
  const found = (data?.lines ?? []).filter(
    (line) => fits(line, filter) && `${line.name} ${line.reagent}`.toLowerCase().includes(text),
  );
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        <Link href="/stock/orders" className="button button-plain">
          {words.toOrders}
        </Link>
      }
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.lines.length === 0 && (
        <Nothing title={words.empty} first={{ href: '/stock/receive', word: WORDS.begin.receive }}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {data && data.lines.length > 0 && (
        <>
          <Finder label={words.find} text={wanted} onText={setWanted} found={found.length} all={data.lines.length}>
            <SelectField
              label={words.show}
              value={filter}
              onChange={setFilter}
              options={FILTERS.map((id) => ({ id, name: words.filters[id] }))}
            />
          </Finder>
          {found.length === 0 && <p>{words.none}</p>}
          <ul className="lines">
            {found.map((line) => (
              <li key={line.reagent}>
                <Line line={line} />
              </li>
            ))}
          </ul>
        </>
      )}
    </Page>
  );
}

function fits({ pressing, madeHere }: OutlookLine, filter: Filter): boolean {
  switch (filter) {
    case 'all':
      return true;
    case 'used':
      return pressing !== 'idle';
    case 'pressing':
      return pressing === 'late' || pressing === 'today' || pressing === 'this week';
    case 'made':
      return madeHere;
  }
}

function Line({ line }: { line: OutlookLine }) {
  const { unit, runsOutOn, orderBy, onShelf, waiting, coming, inDrafts, packs, quantity } = line;
  return (
    <div className="outlook-line">
      <p className="tag-line">
        <Link href={`/stock/outlook/${line.reagent}`} className="line-title">
          {line.name}
        </Link>
        <PressingTag line={line} />
      </p>
      <p>
        <span className="small">{words.runsOut}</span>{' '}
        <span className="figures">{runsOutOn === null ? words.notInAYear : dayText(runsOutOn)}</span>
      </p>
      <p>
        <span className="small">{line.madeHere ? words.makeBy : words.orderBy}</span>{' '}
        <span className="figures">{orderBy === null ? words.notInAYear : dayText(orderBy)}</span>
      </p>
      <p>
        <span className="small">{words.onShelf}</span> <span className="figures">{amountText(onShelf, unit)}</span>
        {waiting > 0 && <span className="small"> {words.waiting(amountText(waiting, unit))}</span>}
        {coming > 0 && <span className="small"> + {`${amountText(coming, unit)} ${words.coming}`}</span>}
        {inDrafts > 0 && <span className="small"> + {`${amountText(inDrafts, unit)} ${words.drafted}`}</span>}
      </p>
      <p>
        <span className="small">{words.propose}</span> {proposal(packs, quantity, line)}
      </p>
    </div>
  );
}

function proposal(packs: number | null, quantity: number | null, { madeHere, unit }: OutlookLine): string {
  if (packs === null || quantity === null) return madeHere ? words.madeHere : words.noProduct;
  return packs === 0 ? words.nothing : `${words.packs(packs)}, ${amountText(quantity, unit)}`;
}

/** How pressing a reagent is, by word and frame. */
export function PressingTag({ line: { pressing, madeHere } }: { line: Pick<OutlookLine, 'pressing' | 'madeHere'> }) {
  switch (pressing) {
    case 'late':
    case 'today':
    case 'this week':
      return (
        <Tag frame={pressing === 'this week' ? 'double' : 'full'}>
          {(madeHere ? words.makeFirst : words.pressing)[pressing]}
        </Tag>
      );
    case 'later':
      return <Tag>{words.pressing.later}</Tag>;
    case 'idle':
      return <Tag frame="soft">{words.pressing.idle}</Tag>;
  }
}
