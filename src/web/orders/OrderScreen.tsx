import { useState } from 'react';
import { Link } from 'react-aria-components';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import type { Order } from '../api.paths.js';
import { OpenDeviation } from '../deviations/OpenDeviation.js';
import { Button } from '../parts/Button.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { SignatureBlock } from '../parts/Signing.js';
import { amountText, dayText, moneyText } from './amounts.js';
import { DraftSheet } from './DraftSheet.js';
import { useOrder } from './orders.js';
import { StateTag } from './OrdersScreen.js';
import './orders.css';
import { ReceiveSheet } from './ReceiveSheet.js';
import { ApproveSheet, EndSheet, SentSheet } from './sheets.js';
import { ORDERS } from './words.js';

const words = ORDERS.page;
const above = { href: '/stock/orders', word: ORDERS.list.title };

type Asked = 'edit' | 'approve' | 'sent' | 'cancel' | 'close' | { line: number };

/** One order: its lines, what came of them, what was done, and what can be done next. */
export default function OrderScreen({ order: id = '' }: ScreenProps) {
  const { data, error, refetch } = useOrder(id);
  const [asked, setAsked] = useState<Asked | null>(null);
  if (!data) {
    return (
      <Page title={ORDERS.list.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  const close = (): void => setAsked(null);
  return (
    <Page
      title={words.title(data.number)}
      above={above}
      about={
        <p className="tag-line">
          {data.supplierName} <StateTag state={data.state} />
          {data.wantedBy !== null && ORDERS.list.wantedBy(dayText(data.wantedBy))}
        </p>
      }
      ways={
        <>
          <OpenDeviation from={{ subject: 'order', subjectId: data.id }} />
          <Ways order={data} onAsk={setAsked} />
        </>
      }
    >
      <Part title={words.lines}>
        <Lines order={data} onReceive={(line) => setAsked({ line })} />
      </Part>
      <Part title={words.documents}>
        <Documents order={data} />
      </Part>
      <Part title={words.came}>
        <Came order={data} />
      </Part>
      <Part title={words.history}>
        <History order={data} />
      </Part>
      {asked === 'edit' && <DraftSheet order={data} onClose={close} />}
      {asked === 'approve' && <ApproveSheet order={data} onClose={close} />}
      {asked === 'sent' && <SentSheet order={data} onClose={close} />}
      {(asked === 'cancel' || asked === 'close') && <EndSheet order={data} way={asked} onClose={close} />}
      {typeof asked === 'object' && asked !== null && <ReceiveSheet order={data} index={asked.line} onClose={close} />}
    </Page>
  );
}

function Ways({ order: { state }, onAsk }: { order: Order; onAsk: (asked: Asked) => void }) {
  const { may } = useSession();
  if (!may('manager', 'director')) return null;
  return (
    <>
      {state === 'draft' && (
        <>
          <Button look="main" onPress={() => onAsk('approve')}>
            {words.approve}
          </Button>
          <Button onPress={() => onAsk('edit')}>{words.edit}</Button>
        </>
      )}
      {state === 'approved' && (
        <Button look="main" onPress={() => onAsk('sent')}>
          {words.sent}
        </Button>
      )}
      {(state === 'draft' || state === 'approved' || state === 'sent') && (
        <Button look="quiet" onPress={() => onAsk('cancel')}>
          {words.cancel}
        </Button>
      )}
      {state === 'partly in' && (
        <Button look="quiet" onPress={() => onAsk('close')}>
          {words.close}
        </Button>
      )}
    </>
  );
}

function Lines({ order, onReceive }: { order: Order; onReceive: (line: number) => void }) {
  const { may } = useSession();
  const { lines, currency, totalCents, state } = order;
  const receiving = may('technician', 'manager', 'director') && !['draft', 'closed', 'cancelled'].includes(state);
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.product}</th>
            <th scope="col">{words.packs}</th>
            <th scope="col">{words.price}</th>
            <th scope="col">{words.total}</th>
            <th scope="col">{words.in}</th>
            {receiving && <th scope="col">{words.receive}</th>}
          </tr>
        </thead>
        <tbody>
          {lines.map((line, index) => (
            <tr key={line.product}>
              <th scope="row">
                <Link href={`/stock/outlook/${line.reagent}`}>{line.name}</Link>
                <span className="small order-more">
                  {line.itemNumber}, {line.packContainers} × {amountText(line.amount.value, line.amount.unit)}
                </span>
              </th>
              <td data-label={words.packs} className="figures">
                {line.packs}
              </td>
              <td data-label={words.price} className="figures">
                {moneyText(line.priceCents, currency)}
              </td>
              <td data-label={words.total} className="figures">
                {moneyText(line.packs * line.priceCents, currency)}
              </td>
              <td data-label={words.in}>{words.ofOrdered(line.received, line.ordered)}</td>
              {receiving && (
                <td data-label={words.receive}>
                  <Button
                    look={line.open > 0 ? 'plain' : 'quiet'}
                    aria-label={words.receiveLine(line.name)}
                    onPress={() => onReceive(index)}
                  >
                    {words.receive}
                  </Button>
                </td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
      <p className="order-total">
        {words.total} <span className="figures">{moneyText(totalCents, currency)}</span>
      </p>
    </div>
  );
}

const FORMS = ['pdf', 'csv', 'xml'] as const;

function Documents({ order: { id, state, number } }: { order: Order }) {
  if (state === 'draft' || state === 'cancelled') return <p>{words.noDocuments}</p>;
  return (
    <p className="tag-line">
      {FORMS.map((form) => (
        <a
          key={form}
          className="button button-plain"
          href={`/api/orders/${id}/order.${form}`}
          download={`order-${number}.${form}`}
        >
          {words[form]}
        </a>
      ))}
    </p>
  );
}

function Came({ order: { receipts, lines } }: { order: Order }) {
  const { format } = useSession();
  if (receipts.length === 0) return <p>{words.nothingCame}</p>;
  return (
    <ol className="checks">
      {receipts.map(({ id, kind, at, person, line, containers, number, expiry, lotId, reason }) => (
        <li key={id}>
          <p className="tag-line">
            <Tag frame={kind === 'refused' ? 'full' : 'plain'}>{kind === 'refused' ? words.refused : words.tookIn}</Tag>
            {words.containers(containers)}, {lines[line]?.name},{' '}
            {lotId === null ? words.lot(number) : <Link href={`/stock/${lotId}`}>{words.lot(number)}</Link>}
            {expiry !== null && `, ${words.expiry(expiry)}`}
          </p>
          <p className="small">
            {format.dayAndClock(at)} {person}
          </p>
          {reason !== null && <p>{reason}</p>}
        </li>
      ))}
    </ol>
  );
}

function History({ order: { acts } }: { order: Order }) {
  const { format } = useSession();
  return (
    <ol className="checks">
      {acts.map(({ kind, at, person, how, note, signature }) => (
        <li key={at + kind}>
          <p>
            {words.acts[kind]} <span className="figures">{format.dayAndClock(at)}</span> {person}
            {how && `, ${ORDERS.sent.ways[how]}`}
          </p>
          {note !== undefined && <p>{note}</p>}
          {signature && <SignatureBlock signature={signature} act="order" />}
        </li>
      ))}
    </ol>
  );
}
