import { useInfiniteQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-aria-components';
import { holdsText, orderTexts } from '../../core/find/lists.js';
import type { OrderState } from '../../core/stock/order.js';
import { navigate, useText } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { OrderSummary, Reorder } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { csvOf, Export } from '../parts/Export.js';
import { Finder } from '../parts/Finder.js';
import { useFurther } from '../parts/further.js';
import { say } from '../parts/notices.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { WORDS } from '../words.js';
import { amountText, dayText, moneyText } from './amounts.js';
import { DraftSheet } from './DraftSheet.js';
import { useReorder, useStockChanged } from './orders.js';
import './orders.css';
import { ORDERS } from './words.js';

const words = ORDERS.list;

const OPEN: readonly OrderState[] = ['draft', 'approved', 'sent', 'partly in'];

/** What to order now, and every order by where it stands. */
export default function OrdersScreen() {
  const { may } = useSession();
  const [drafting, setDrafting] = useState(false);
  const orders = useInfiniteQuery({
    queryKey: ['stock', 'orders'],
    queryFn: ({ pageParam }) =>
      got(
        api.GET('/api/orders', { params: { query: { take: 100, ...(pageParam !== null && { after: pageParam }) } } }),
      ),
    initialPageParam: null as string | null,
    getNextPageParam: ({ next }) => next,
  });
  const all = orders.data?.pages.flatMap(({ items }) => items) ?? [];
  const [wanted, setWanted] = useText('find');
  useFurther(orders, wanted.trim() !== '');
  const found = all.filter((order) => holdsText(wanted, orderTexts(order)));
  const open = found.filter(({ state }) => OPEN.includes(state));
  const over = found.filter(({ state }) => !OPEN.includes(state));
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        <>
          {may('manager', 'director') && <Button onPress={() => setDrafting(true)}>{words.byHand}</Button>}
          <Export files={[csvOf('orders/list.csv', { find: wanted })]} />
        </>
      }
    >
      <Part title={words.proposals}>
        <Proposals />
      </Part>
      {!orders.data && <Waiting error={orders.error} onRetry={() => void orders.refetch()} />}
      {orders.data && all.length === 0 && (
        <Nothing title={words.empty} first={{ href: '/stock/buying', word: WORDS.begin.buying }}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {all.length > 0 && (
        <Finder
          label={words.find}
          text={wanted}
          onText={setWanted}
          found={found.length}
          all={orders.hasNextPage ? 'more' : all.length}
        />
      )}
      {all.length > 0 && found.length === 0 && !orders.hasNextPage && <p>{words.noneFits}</p>}
      {open.length > 0 && (
        <Part title={words.groups.open}>
          <OrderLines orders={open} />
        </Part>
      )}
      {over.length > 0 && (
        <Part title={words.groups.over}>
          <OrderLines orders={over} />
        </Part>
      )}
      {orders.hasNextPage && (
        <Button onPress={() => void orders.fetchNextPage()} isDisabled={orders.isFetchingNextPage}>
          {words.more}
        </Button>
      )}
      {drafting && <DraftSheet onClose={() => setDrafting(false)} />}
    </Page>
  );
}

function Proposals() {
  const { may } = useSession();
  const changed = useStockChanged();
  const { name } = useCatalogue();
  const { data, error, refetch } = useReorder();
  const draft = useChange(
    (from: Reorder['suppliers'][number], key) =>
      got(
        api.POST('/api/orders', {
          body: {
            supplier: from.supplier,
            lines: from.proposals.flatMap(({ product, packs }) =>
              product === null || packs === null ? [] : [{ product, packs }],
            ),
          },
          ...once(key),
        }),
      ),
    async ({ id, number }) => {
      say(words.drafted(number));
      await changed();
      navigate(`/stock/orders/${id}`);
    },
  );
  if (!data) return <Waiting error={error} onRetry={() => void refetch()} />;
  const { suppliers, withoutProduct, currency, today } = data;
  return (
    <>
      {suppliers.length === 0 && <p>{words.noProposals}</p>}
      {withoutProduct.length > 0 && (
        <p className="held-note">
          {words.withoutProduct(withoutProduct.map(name).join('; '))}{' '}
          {may('manager', 'director') && <Link href="/stock/buying">{words.writeProduct}</Link>}
        </p>
      )}
      {suppliers.map((each) => (
        <section key={each.supplier} className="of-supplier">
          <header>
            <h3>{each.name}</h3>
            <span className="figures">{moneyText(each.totalCents, currency)}</span>
            {may('manager', 'director') && (
              <Button look="main" onPress={() => draft.ask(each)} isDisabled={draft.isPending}>
                {words.draft(each.name)}
              </Button>
            )}
          </header>
          <ul className="lines">
            {each.proposals.map((line) => (
              <li key={line.reagent} className="proposal">
                <Link href={`/stock/outlook/${line.reagent}`} className="line-title">
                  {line.name}
                </Link>
                <span>
                  {ORDERS.outlook.packs(line.packs ?? 0)}{' '}
                  <span className="small">{amountText(line.quantity ?? 0, line.unit)}</span>
                </span>
                <span className="figures">{moneyText(line.totalCents, currency)}</span>
                <span>
                  {line.orderBy !== null &&
                    (line.orderBy < today ? (
                      <Tag frame="full">{words.late(dayText(line.orderBy))}</Tag>
                    ) : (
                      <span className="small">{words.orderBy(dayText(line.orderBy))}</span>
                    ))}
                </span>
              </li>
            ))}
          </ul>
        </section>
      ))}
      <ProblemNote problem={draft.error} />
    </>
  );
}

function OrderLines({ orders }: { orders: readonly OrderSummary[] }) {
  const { format } = useSession();
  return (
    <ul className="lines">
      {orders.map((order) => (
        <li key={order.id} className="proposal">
          <p className="tag-line">
            <Link href={`/stock/orders/${order.id}`} className="line-title">
              {order.number}
            </Link>
            <StateTag state={order.state} />
          </p>
          <span>{order.supplierName}</span>
          <span className="figures">
            {moneyText(order.totalCents, order.currency)} <span className="small">{words.lines(order.lineCount)}</span>
          </span>
          <span className="small">
            {format.dayAndClock(order.at)}
            {order.wantedBy !== null && `, ${words.wantedBy(dayText(order.wantedBy))}`}
          </span>
        </li>
      ))}
    </ul>
  );
}

/** Where an order stands, by word and frame. */
export function StateTag({ state }: { state: OrderState }) {
  const asks = state === 'draft' || state === 'approved';
  const over = state === 'closed' || state === 'cancelled' || state === 'all in';
  return <Tag frame={asks ? 'double' : over ? 'plain' : 'soft'}>{ORDERS.states[state]}</Tag>;
}
