import { useWindowVirtualizer } from '@tanstack/react-virtual';
import { useLayoutEffect, useRef, useState } from 'react';
import { Link } from 'react-aria-components';
import { useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { useCatalogue } from '../bench/bench.js';
import { csvOf, Export } from '../parts/Export.js';
import { Field } from '../parts/Field.js';
import { Finder } from '../parts/Finder.js';
import { shortLabel } from '../parts/format.js';
import { Nothing, Page, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { useReagents } from '../stock/stock.js';
import { WORDS } from '../words.js';
import { amountText, changeText, type LedgerChoice, type Movement, useMovements } from './ledger.js';
import './ledger.css';
import { LEDGER_WORDS } from './words.js';

const words = LEDGER_WORDS.ledger;
const LINE_PX = 62;

/** Every movement of stock, the newest first. What is asked for stands in the address. */
export default function LedgerScreen() {
  const [reagent, setReagent] = useParam('reagent');
  const [container] = useParam('container');
  const [kind, setKind] = useParam('kind');
  const [from, setFrom] = useParam('from');
  const [to, setTo] = useParam('to');
  const choice: LedgerChoice = {
    ...(reagent !== null && { reagent }),
    ...(container !== null && { container }),
    ...(isKind(kind) && { kind }),
    ...(from !== null && { from }),
    ...(to !== null && { to }),
  };
  const { data, error, refetch } = useMovements(choice, 0, 0).head;
  const { data: reagents = [] } = useReagents();
  const asked = Object.keys(choice).length > 0;
  const [first] = data?.items ?? [];
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={<Export files={[csvOf('ledger.csv', { ...choice })]} />}
    >
      <Finder found={data?.count}>
        <SelectField
          label={words.reagent}
          value={reagent ?? 'any'}
          onChange={(value) => setReagent(value === 'any' ? null : value)}
          options={[{ id: 'any', name: words.anyReagent }, ...reagents.map(({ code, name }) => ({ id: code, name }))]}
        />
        <SelectField
          label={words.kind}
          value={isKind(kind) ? kind : 'any'}
          onChange={(value) => setKind(value === 'any' ? null : value)}
          options={[
            { id: 'any', name: words.anyKind },
            ...Object.entries(LEDGER_WORDS.kinds).map(([id, name]) => ({ id, name })),
          ]}
        />
        <Field
          label={words.from}
          type="date"
          value={from ?? ''}
          onChange={(value) => setFrom(value === '' ? null : value)}
        />
        <Field label={words.to} type="date" value={to ?? ''} onChange={(value) => setTo(value === '' ? null : value)} />
      </Finder>
      {container !== null && first && <p>{words.ofContainer(shortLabel(first.label))}</p>}
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.count === 0 && asked && <p>{words.none}</p>}
      {data?.count === 0 && !asked && (
        <Nothing title={words.empty} first={{ href: '/stock/receive', word: WORDS.begin.receive }}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {data !== undefined && data.count > 0 && (
        <Lines key={JSON.stringify(choice)} choice={choice} count={data.count} />
      )}
    </Page>
  );
}

function isKind(kind: string | null): kind is Movement['kind'] {
  return kind !== null && kind in LEDGER_WORDS.kinds;
}

/**
 * Only the lines in sight are fetched and drawn, however long the ledger, and each says which of how many it is.
 */
function Lines({ choice, count }: { choice: LedgerChoice; count: number }) {
  const place = useRef<HTMLDivElement>(null);
  const [top, setTop] = useState(0);
  useLayoutEffect(() => setTop(place.current?.offsetTop ?? 0), []);
  const lines = useWindowVirtualizer({
    count,
    estimateSize: () => LINE_PX,
    overscan: 12,
    scrollMargin: top,
  });
  const drawn = lines.getVirtualItems();
  const { at, problem } = useMovements(choice, drawn[0]?.index ?? 0, drawn.at(-1)?.index ?? 0);
  return (
    <>
      <ProblemNote problem={problem} />
      <div
        ref={place}
        role="list"
        aria-label={words.list}
        className="ledger-lines"
        style={{ height: lines.getTotalSize() }}
      >
        {drawn.map(({ index, key, start }) => {
          const movement = at(index);
          return (
            <div
              key={key}
              role="listitem"
              aria-setsize={count}
              aria-posinset={index + 1}
              data-index={index}
              ref={lines.measureElement}
              className="ledger-line"
              style={{ minHeight: LINE_PX, transform: `translateY(${start - top}px)` }}
            >
              {movement ? <Line movement={movement} /> : <p className="small">{words.fetching}</p>}
            </div>
          );
        })}
      </div>
    </>
  );
}

function Line({ movement }: { movement: Movement }) {
  const { format } = useSession();
  const { name } = useCatalogue();
  const { kind, amount, label, lotId, lotNumber, reagent, at, person, runId, place, reason, short, intoLotId } =
    movement;
  return (
    <>
      <p className="small figures">{format.dayAndClock(at)}</p>
      <p>
        <Tag frame={kind === 'moved' ? 'soft' : 'plain'}>{LEDGER_WORDS.kinds[kind]}</Tag>{' '}
        {kind !== 'moved' && <strong className="figures">{changeText(amount)}</strong>}
      </p>
      <p>
        {name(reagent)}{' '}
        <span className="small">
          <Link href={`/stock/${lotId}`}>{words.lot(lotNumber)}</Link> · {shortLabel(label)}
        </span>
      </p>
      <p className="small">
        {runId !== null && (
          <>
            <Link href={`/release/${runId}`}>{words.run}</Link>{' '}
          </>
        )}
        {intoLotId !== null && intoLotId !== lotId && (
          <>
            <Link href={`/stock/${intoLotId}`}>{words.into}</Link>{' '}
          </>
        )}
        {place !== null && `${words.to_(place)} `}
        {reason !== null && `${reason} · `}
        {person === null ? words.program : words.by(person)}
        {short && (
          <>
            {' '}
            <Tag frame="double">{words.short(amountText(short))}</Tag>
          </>
        )}
      </p>
    </>
  );
}
