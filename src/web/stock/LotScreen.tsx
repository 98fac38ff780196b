import { useState } from 'react';
import { Link } from 'react-aria-components';
import type { ContainerState } from '../../core/lot/lot.js';
import type { ContainerCondition } from '../../core/lot/receive.js';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import type { Container, Lot, LotEvidenceSaid } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { priceText } from '../parts/numbers.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { HoldSheet, MoveSheet, WaterSheet } from '../places/container-sheets.js';
import { usePlaceNames } from '../places/places.js';
import { DecideSheet } from './DecideSheet.js';
import { StateSheet } from './sheets.js';
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
      {data.shipments.length > 0 && (
        <Part title={words.shipments}>
          <Shipments lot={data} />
        </Part>
      )}
      {deciding && <DecideSheet lot={data} onClose={() => setDeciding(false)} />}
    </Page>
  );
}

function Facts({ lot }: { lot: Lot }) {
  const { format } = useSession();
  const facts = [
    [lot.origin === 'prepared' ? words.preparedBy : words.supplier, lot.source],
    [lot.origin === 'prepared' ? words.prepared : words.received, format.dayAndClock(lot.receivedAt)],
    [lot.expirySetHere ? words.expirySet : words.expiry, lot.expiry],
    [words.opened, lot.openedLife && lifeText(lot.openedLife)],
    [words.usableUntil, lot.usableUntil && format.dayAndClock(lot.usableUntil)],
    [words.strength, lot.strength],
    [words.storage, lot.storage],
    [words.gtin, lot.gtin],
    [words.intendedUse, lot.intendedUse && STOCK.in.intendedUses[lot.intendedUse]],
    [words.kit, lot.kit !== null && lot.kitLot !== null ? words.kitText(lot.kit, lot.kitLot) : null],
    [words.price, lot.priceCents === null ? null : priceText(lot.priceCents)],
    [words.value, valueText(lot)],
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

/** What the ledger says is left, by the price of a full container; null where either is not known. */
function valueText({ containers, priceCents }: Lot): string | null {
  const known = containers.flatMap(({ onHand, full }) =>
    onHand !== null && full !== null && full.value > 0 ? [onHand.value / full.value] : [],
  );
  if (priceCents === null || known.length === 0) return null;
  return priceText(Math.round(known.reduce((sum, part) => sum + part, 0) * priceCents));
}

/** Hundredths of the laboratory's currency, which has no sign here. */
function Shipments({ lot }: { lot: Lot }) {
  const { format } = useSession();
  return (
    <>
      <p className="small">{words.shipmentsHelp}</p>
      <ul className="checks">
        {lot.shipments.map(({ id, receivedAt, source, standing }) => (
          <li key={id}>
            <p className="tag-line">
              <Link href={`/stock/${id}`}>{words.shipment(format.dayAndClock(receivedAt), source)}</Link>
              <StandingTag standing={standing} />
            </p>
          </li>
        ))}
      </ul>
    </>
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
  const places = usePlaceNames();
  const [asked, setAsked] = useState<{ container: Container; state: ContainerState } | null>(null);
  const [moving, setMoving] = useState<{ container: Container; sheet: 'move' | 'hold' | 'water' } | null>(null);
  const placeOf = (code: string): string => places.data?.find((each) => each.code === code)?.name ?? code;
  const acting = may('technician', 'manager', 'director');
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.container}</th>
            <th scope="col">{words.state}</th>
            <th scope="col">{words.place}</th>
            <th scope="col">{words.left}</th>
            <th scope="col">{words.limits}</th>
            <th scope="col">{words.now}</th>
            {acting && <th scope="col">{words.acts}</th>}
          </tr>
        </thead>
        <tbody>
          {lot.containers.map((container) => {
            const { id, label, serial, size, state, states, limits, reasons, place, onHand, waterCheckDue } = container;
            const here = state === 'unopened' || state === 'opened';
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
                <td data-label={words.place}>
                  {place === null ? <span className="small">{words.nowhere}</span> : placeOf(place)}
                </td>
                <td data-label={words.left} className="figures">
                  {onHand === null ? <span className="small">{words.unknown}</span> : `${onHand.value} ${onHand.unit}`}
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
                  <Holds container={container} />
                  {waterCheckDue !== null && here && (
                    <p className="small">{words.waterDue(format.dayAndClock(waterCheckDue))}</p>
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
                      {here && (
                        <>
                          <Button
                            look="quiet"
                            aria-label={`${words.move}: ${label}`}
                            onPress={() => setMoving({ container, sheet: 'move' })}
                          >
                            {words.move}
                          </Button>
                          <Button
                            look="quiet"
                            aria-label={`${words.hold}: ${label}`}
                            onPress={() => setMoving({ container, sheet: 'hold' })}
                          >
                            {words.hold}
                          </Button>
                          {waterCheckDue !== null && (
                            <Button
                              aria-label={`${words.water}: ${label}`}
                              onPress={() => setMoving({ container, sheet: 'water' })}
                            >
                              {words.water}
                            </Button>
                          )}
                        </>
                      )}
                    </span>
                  </td>
                )}
              </tr>
            );
          })}
        </tbody>
      </table>
      {asked && <StateSheet container={asked.container} state={asked.state} onClose={() => setAsked(null)} />}
      {moving?.sheet === 'move' && <MoveSheet container={moving.container} onClose={() => setMoving(null)} />}
      {moving?.sheet === 'hold' && <HoldSheet container={moving.container} onClose={() => setMoving(null)} />}
      {moving?.sheet === 'water' && <WaterSheet container={moving.container} onClose={() => setMoving(null)} />}
    </div>
  );
}

function Holds({ container: { holds } }: { container: Container }) {
  const { format } = useSession();
  // What waits for a decision stands among the reasons already.
  const decided = holds.filter(({ usable }) => usable !== null);
  if (decided.length === 0) return null;
  return (
    <ul className="small why" aria-label={words.held}>
      {decided.map(({ id, at, reason, usable, why }) => (
        <li key={id}>
          <strong>{words.held}</strong> {format.dayAndClock(at)}: {format.within(reason)};{' '}
          {usable ? words.heldUsable : words.heldUnusable}
          {why !== null && ` (${why})`}
        </li>
      ))}
    </ul>
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

function Evidence({ evidence: { kind, fileId, runId, studyId } }: { evidence: LotEvidenceSaid }) {
  return (
    <p className="small">
      {words.evidence}: {STOCK.decide.evidenceKinds[kind]}{' '}
      {fileId !== undefined && <a href={`/api/files/${encodeURIComponent(fileId)}`}>{words.file}</a>}{' '}
      {runId !== undefined && <Link href={`/release/${runId}`}>{words.run}</Link>}{' '}
      {studyId !== undefined && <Link href={`/controls/lots/${studyId}`}>{words.study}</Link>}
    </p>
  );
}

function Decisions({ lot }: { lot: Lot }) {
  const { format, may } = useSession();
  const nameOf = usePeopleNames();
  return (
    <>
      {lot.decisions.length === 0 && <p>{words.noDecision}</p>}
      <ol className="checks">
        {[...lot.decisions].reverse().map(({ at, standing, reason, personId, evidence }) => (
          <li key={at + standing}>
            <p>
              <StandingTag standing={standing} /> <span className="figures">{format.dayAndClock(at)}</span>{' '}
              {nameOf(personId)}
            </p>
            <p>{reason}</p>
            {evidence && <Evidence evidence={evidence} />}
          </li>
        ))}
      </ol>
      {!may('manager', 'director') && <p className="small">{STOCK.decide.notYours}</p>}
    </>
  );
}
