import { useState } from 'react';
import { Link } from 'react-aria-components';
import { SHELF_SHOWS, onShelf } from '../../core/find/lists.js';
import { navigate, useChoice, useText } from '../app/router.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { csvOf, Export } from '../parts/Export.js';
import { Finder } from '../parts/Finder.js';
import { useFurther } from '../parts/further.js';
import { shortLabel } from '../parts/format.js';
import { priceText } from '../parts/numbers.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { WORDS } from '../words.js';
import { BookSheet } from './BookSheet.js';
import { amountText, type OnHand, type OnHandContainer, useShelf } from './ledger.js';
import './ledger.css';
import { Waste } from './Waste.js';
import { LEDGER_WORDS } from './words.js';

const words = LEDGER_WORDS.shelf;
/** What is here in the order in which it should be taken, each container as a bar as wide as what is left in it. */
export default function ShelfScreen() {
  const { may } = useSession();
  const shelf = useShelf();
  const [wanted, setWanted] = useText('find');
  const [filter, setFilter] = useChoice('show', SHELF_SHOWS, 'all');
  const [booking, setBooking] = useState<OnHandContainer | null>(null);
  const all = shelf.data?.pages.flatMap(({ items }) => items) ?? [];
  useFurther(shelf, wanted.trim() !== '' || filter !== 'all');
  const found = all.flatMap((stock) => {
    const shown = onShelf(stock, { find: wanted, show: filter });
    return shown.length === 0 ? [] : [{ stock, shown }];
  });
  const narrowed = { find: wanted, show: filter === 'all' ? null : filter };
  const mayBook = may('technician', 'manager', 'director');
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        <Export
          files={[
            csvOf('stock/on-hand.csv', narrowed),
            { ...csvOf('stock/on-hand.xlsx', narrowed), name: WORDS.exported.workbook },
          ]}
        />
      }
    >
      {!shelf.data && <Waiting error={shelf.error} onRetry={() => void shelf.refetch()} />}
      {shelf.data && all.length === 0 && (
        <Nothing title={words.empty} first={{ href: '/stock/receive', word: WORDS.begin.receive }}>
          <p>{words.emptyHelp}</p>
          {may('manager', 'director') && <Link href="/stock/import">{words.toImport}</Link>}
        </Nothing>
      )}
      {all.length > 0 && (
        <>
          <Finder label={words.find} text={wanted} onText={setWanted} found={found.length} all={all.length}>
            <SelectField
              label={words.show}
              value={filter}
              onChange={setFilter}
              options={SHELF_SHOWS.map((id) => ({ id, name: words.filters[id] }))}
            />
          </Finder>
          <Legend />
          {found.length === 0 && <p>{words.none}</p>}
          <ul className="shelf">
            {found.map(({ stock, shown }) => (
              <li key={stock.reagent}>
                <Row stock={stock} shown={shown} open={filter !== 'all'} {...(mayBook && { onBook: setBooking })} />
              </li>
            ))}
          </ul>
          {shelf.hasNextPage && (
            <Button onPress={() => void shelf.fetchNextPage()} isDisabled={shelf.isFetchingNextPage}>
              {words.more}
            </Button>
          )}
          <Part title={LEDGER_WORDS.waste.title} about={LEDGER_WORDS.waste.about} id="waste">
            <Waste />
          </Part>
        </>
      )}
      {booking && <BookSheet container={booking} onClose={() => setBooking(null)} />}
    </Page>
  );
}

function Legend() {
  return (
    <details className="shelf-legend">
      <summary>{words.legend.title}</summary>
      <p>{words.legend.width}</p>
      <ul className="tag-line">
        {(['opened', 'unopened', 'over', 'barred'] as const).map((look) => (
          <li key={look}>
            <span className={`shelf-bar shelf-sample bar-${look}`} aria-hidden="true" /> {words.legend[look]}
          </li>
        ))}
      </ul>
    </details>
  );
}

function Row({
  stock,
  shown,
  open,
  onBook,
}: {
  stock: OnHand;
  shown: readonly OnHandContainer[];
  /** Whether its containers are seen at once. */
  open: boolean;
  onBook?: (container: OnHandContainer) => void;
}) {
  const { total, usable, promised, valueCents, overCents, unpriced } = stock;
  return (
    <section className="shelf-row">
      <div className="shelf-name">
        <h2>{stock.name}</h2>
        <p className="figures">{words.of(amountText(usable), amountText(total))}</p>
        {promised.value > 0 && <p className="small">{words.promised(amountText(promised))}</p>}
        <p className="small">
          {valueCents > 0 && words.value(priceText(valueCents), overCents > 0 ? priceText(overCents) : null)}
          {valueCents > 0 && unpriced > 0 && ' · '}
          {unpriced > 0 && words.unpriced(unpriced)}
        </p>
      </div>
      <div className="shelf-side">
        <div className="shelf-bars" aria-hidden="true">
          {stock.containers.map((container) => (
            <Bar key={container.id} container={container} />
          ))}
        </div>
        <details open={open}>
          <summary>{words.containers(shown.length)}</summary>
          <ul className="lines">
            {shown.map((container) => (
              <li key={container.id}>
                <ContainerLine container={container} {...(onBook && { onBook })} />
              </li>
            ))}
          </ul>
        </details>
      </div>
    </section>
  );
}

function lookOf({ over, usable, state }: OnHandContainer): 'over' | 'barred' | 'opened' | 'unopened' {
  if (over) return 'over';
  return usable ? state : 'barred';
}

/** As wide as what is left beside the others; never too narrow to be seen. */
function Bar({ container }: { container: OnHandContainer }) {
  const { format } = useSession();
  const { onHand, usableUntil } = container;
  return (
    <span
      className={`shelf-bar bar-${lookOf(container)}`}
      style={{ flexGrow: onHand?.value ?? 0 }}
      title={words.container(
        shortLabel(container.label),
        container.lotNumber,
        onHand ? amountText(onHand) : LEDGER_WORDS.unknown,
      )}
    >
      <span className="figures">{onHand ? amountText(onHand) : '?'}</span>
      <span className="bar-end">{usableUntil === null ? words.noEnd : format.lastDay(usableUntil)}</span>
      {container.undated && <span className="bar-flag">!</span>}
    </span>
  );
}

function ContainerLine({
  container,
  onBook,
}: {
  container: OnHandContainer;
  onBook?: (container: OnHandContainer) => void;
}) {
  const { format } = useSession();
  const { id, label, lotId, lotNumber, onHand, usableUntil, over, reasons, openedAt, place, valueCents } = container;
  return (
    <div className="shelf-container">
      <p>
        <Link href={`/stock/${lotId}`} className="label">
          {shortLabel(label)}
        </Link>{' '}
        <span className="small">{words.lot(lotNumber)}</span>
      </p>
      <p>
        <strong className="figures">{onHand ? amountText(onHand) : LEDGER_WORDS.unknown}</strong>
        {valueCents !== null && valueCents > 0 && (
          <span className="small"> {words.value(priceText(valueCents), null)}</span>
        )}
      </p>
      <p className="small">
        {usableUntil === null ? words.noEnd : (over ? words.ended : words.ends)(format.lastDay(usableUntil))}
        {' · '}
        {openedAt === null ? words.unopened : words.opened(format.dayAndClock(openedAt))}
        {place !== null && ` · ${place}`}
      </p>
      <p className="tag-line">
        {over && <Tag frame="full">{words.legend.over}</Tag>}
        {container.vessel === 'bath' && <Tag>{words.bath}</Tag>}
        {container.undated && <Tag frame="double">{words.undated}</Tag>}
        {container.countDue && <Tag frame="double">{words.countDue}</Tag>}
      </p>
      {reasons.length > 0 && (
        <ul className="small shelf-why">
          {reasons.map(({ code, message }) => (
            <li key={code + message}>{format.within(message)}</li>
          ))}
        </ul>
      )}
      <p className="row-ways">
        {onBook && (
          <>
            <Button look="quiet" aria-label={`${words.book} ${shortLabel(label)}`} onPress={() => onBook(container)}>
              {words.book}
            </Button>
            <Button
              look="quiet"
              aria-label={`${words.count} ${shortLabel(label)}`}
              onPress={() => navigate(`/stock/counts?container=${id}`)}
            >
              {words.count}
            </Button>
          </>
        )}
        <Link href={`/stock/ledger?container=${id}`}>{words.movements}</Link>
      </p>
    </div>
  );
}
