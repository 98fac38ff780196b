import { useState } from 'react';
import { Link } from 'react-aria-components';
import type { ContainerState } from '../../core/lot/lot.js';
import type { ContainerCondition } from '../../core/lot/receive.js';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import type { Container, Lot } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { DecideSheet, StateSheet } from './sheets.js';
import { causeText, firstLimit, lifeText, useLot, usePeopleNames } from './stock.js';
import './stock.css';
import { ConditionTag, StandingTag } from './Tags.js';
import { STOCK } from './words.js';

const words = STOCK.page;
const above = { href: '/stock', word: STOCK.title };

/** One lot: what is printed on it, what was decided about it, and each container with what limits it until when. */
export default function LotScreen({ lot: id = '' }: ScreenProps) {
  const { may } = useSession();
  const { name } = useCatalogue();
  const { data, error, refetch } = useLot(id);
  const [deciding, setDeciding] = useState(false);
  if (!data) {
    return (
      <Page title={STOCK.title} above={above}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Page>
    );
  }
  return (
    <Page
      title={name(data.reagent)}
      above={above}
      about={
        <p className="tag-line">
          {STOCK.lot(data.number)} <StandingTag standing={data.standing} />
        </p>
      }
      ways={
        <>
          {may('manager', 'director') && (
            <Button look={data.standing === 'quarantined' ? 'main' : 'plain'} onPress={() => setDeciding(true)}>
              {STOCK.decide.open}
            </Button>
          )}
          <Link href={`/stock/${data.id}/labels`} className="button button-quiet">
            {words.labels}
          </Link>
        </>
      }
    >
      <Facts lot={data} />
      <Part title={words.containers}>
        <ContainerTable lot={data} />
      </Part>
      <Part title={words.decisions}>
        <Decisions lot={data} />
      </Part>
      {deciding && <DecideSheet lot={data} onClose={() => setDeciding(false)} />}
    </Page>
  );
}

function Facts({ lot }: { lot: Lot }) {
  const { format } = useSession();
  const facts = [
    [lot.origin === 'prepared' ? words.preparedBy : words.supplier, lot.source],
    [lot.origin === 'prepared' ? words.prepared : words.received, format.dayAndClock(lot.receivedAt)],
    [words.expiry, lot.expiry],
    [words.opened, lot.openedLife && lifeText(lot.openedLife)],
    [words.usableUntil, lot.usableUntil && format.dayAndClock(lot.usableUntil)],
    [words.strength, lot.strength],
    [words.storage, lot.storage],
    [words.gtin, lot.gtin],
  ].filter((fact): fact is [string, string] => Boolean(fact[1]));
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

/** What can become of a container from what it is. */
const AFTER: Record<ContainerCondition, readonly ContainerState[]> = {
  unopened: ['opened', 'discarded'],
  opened: ['emptied', 'discarded'],
  emptied: ['discarded'],
  discarded: [],
};

function ContainerTable({ lot }: { lot: Lot }) {
  const { format, may } = useSession();
  const [asked, setAsked] = useState<{ container: Container; state: ContainerState } | null>(null);
  const acting = may('technician', 'manager', 'director');
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.container}</th>
            <th scope="col">{words.state}</th>
            <th scope="col">{words.limits}</th>
            <th scope="col">{words.now}</th>
            {acting && <th scope="col">{words.acts}</th>}
          </tr>
        </thead>
        <tbody>
          {lot.containers.map((container) => {
            const { id, label, serial, size, state, states, limits, reasons } = container;
            const first = firstLimit(limits);
            const since = states.at(-1)?.at;
            return (
              <tr key={id}>
                <th scope="row">
                  <span className="label">{label}</span>
                  <span className="small step-more-words">{[size, serial].filter(Boolean).join(' · ')}</span>
                </th>
                <td data-label={words.state}>
                  <ConditionTag condition={state} />{' '}
                  {since && <span className="small figures">{format.dayAndClock(since)}</span>}
                </td>
                <td data-label={words.limits}>
                  {first === null && STOCK.noLimit}
                  <ul>
                    {[...limits]
                      .sort((a, b) => (a.until < b.until ? -1 : 1))
                      .map(({ by, until }) => (
                        <li key={by} className={by === first?.by ? undefined : 'small'}>
                          {causeText(by)} <span className="figures">{format.dayAndClock(until)}</span>
                        </li>
                      ))}
                  </ul>
                </td>
                <td data-label={words.now}>
                  <Usable reasons={reasons} />
                  {!onlyClosed(reasons) && reasons.length > 0 && (
                    <ul className="small why">
                      {reasons.map(({ code, message }) => (
                        <li key={code + message}>{format.within(message)}</li>
                      ))}
                    </ul>
                  )}
                </td>
                {acting && (
                  <td data-label={words.acts}>
                    <span className="row-ways">
                      {AFTER[state].map((next) => (
                        <Button
                          key={next}
                          look={next === 'discarded' ? 'quiet' : 'plain'}
                          aria-label={`${STOCK.state.acts[next]}: ${label}`}
                          onPress={() => setAsked({ container, state: next })}
                        >
                          {STOCK.state.acts[next]}
                        </Button>
                      ))}
                    </span>
                  </td>
                )}
              </tr>
            );
          })}
        </tbody>
      </table>
      {asked && <StateSheet container={asked.container} state={asked.state} onClose={() => setAsked(null)} />}
    </div>
  );
}

/** Whether nothing but its closed lid speaks against a container. */
function onlyClosed(reasons: Container['reasons']): boolean {
  return reasons.length > 0 && reasons.every(({ code }) => code === 'not-opened');
}

function Usable({ reasons }: Pick<Container, 'reasons'>) {
  if (reasons.length === 0) return <Tag>{words.usable}</Tag>;
  return onlyClosed(reasons) ? <Tag frame="soft">{words.onceOpened}</Tag> : <Tag frame="full">{words.unusable}</Tag>;
}

function Decisions({ lot }: { lot: Lot }) {
  const { format, may } = useSession();
  const nameOf = usePeopleNames();
  return (
    <>
      {lot.decisions.length === 0 && <p>{words.noDecision}</p>}
      <ol className="checks">
        {[...lot.decisions].reverse().map(({ at, standing, reason, personId }) => (
          <li key={at + standing}>
            <p>
              <StandingTag standing={standing} /> <span className="figures">{format.dayAndClock(at)}</span>{' '}
              {nameOf(personId)}
            </p>
            <p>{reason}</p>
          </li>
        ))}
      </ol>
      {!may('manager', 'director') && <p className="small">{STOCK.decide.notYours}</p>}
    </>
  );
}
