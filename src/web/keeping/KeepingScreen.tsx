import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Kept, LegalHold } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import './keeping.css';
import { HoldSheet, LiftSheet, TermSheet } from './sheets.js';
import { KEEPING as words } from './words.js';

/** For how long each kind of record is kept, how far it has come, and what is held. */
export default function KeepingScreen() {
  const { may } = useSession();
  const signs = may('director');
  const { data, error, refetch } = useQuery({ queryKey: ['keeping'], queryFn: () => got(api.GET('/api/keeping')) });
  const [holding, setHolding] = useState(false);
  return (
    <Page
      title={words.title}
      about={
        <>
          <p>{words.about}</p>
          <p className="small">{words.law}</p>
        </>
      }
      ways={signs && <Button onPress={() => setHolding(true)}>{words.holds.open}</Button>}
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data && (
        <>
          <Part title={words.kinds}>
            <ul className="lines">
              {data.kinds.map((kept) => (
                <li key={kept.kind} className="kept">
                  <KeptLine kept={kept} signs={signs} />
                </li>
              ))}
            </ul>
          </Part>
          <Part title={words.holds.title} about={words.holds.about}>
            {data.holds.length === 0 && <p>{words.holds.none}</p>}
            <ul className="lines">
              {data.holds.map((hold) => (
                <li key={hold.id} className="kept">
                  <HoldLine hold={hold} kinds={data.kinds} signs={signs} />
                </li>
              ))}
            </ul>
          </Part>
        </>
      )}
      {holding && data && <HoldSheet kinds={data.kinds} onClose={() => setHolding(false)} />}
    </Page>
  );
}

function KeptLine({ kept, signs }: { kept: Kept; signs: boolean }) {
  const { format } = useSession();
  const [asked, setAsked] = useState(false);
  const { title, floorYears, from, clause, years, signature, records, oldest, oldestUntil, past, held } = kept;
  return (
    <>
      <div>
        <p className="kept-title">
          {title} {held && <Tag frame="full">{words.held}</Tag>}
        </p>
        <p className="small">{words.floor(floorYears, from, clause)}</p>
      </div>
      <div>
        <p>{words.years(years)}</p>
        {past !== null && past > 0 && <p className="small">{words.past(past)}</p>}
        <p className="small">
          {signature ? words.own(signature.name, format.dayAndClock(signature.at)) : words.asTheLaw}
        </p>
      </div>
      <dl className="small">
        <dt>{words.column.records}</dt>
        <dd className="figures">{records}</dd>
        <dt>{words.column.oldest}</dt>
        <dd className="figures">{oldest === null ? words.none : format.dayAndClock(oldest)}</dd>
        {oldest !== null && (
          <>
            <dt>{words.column.until}</dt>
            <dd className="figures">{oldestUntil === null ? words.never : format.dayAndClock(oldestUntil)}</dd>
          </>
        )}
      </dl>
      {signs && (
        <div className="row-ways">
          <Button aria-label={`${words.term.open}: ${title}`} onPress={() => setAsked(true)}>
            {words.term.open}
          </Button>
        </div>
      )}
      {asked && <TermSheet kept={kept} onClose={() => setAsked(false)} />}
    </>
  );
}

function HoldLine({ hold, kinds, signs }: { hold: LegalHold; kinds: readonly Kept[]; signs: boolean }) {
  const { format } = useSession();
  const [asked, setAsked] = useState(false);
  const { from, to, reason, signature, lifted } = hold;
  const titles = hold.kinds?.map((code) => kinds.find(({ kind }) => kind === code)?.title ?? code);
  const day = (at: string | null): string | null => (at === null ? null : format.dayAndClock(at));
  return (
    <>
      <div>
        <p className="kept-title">{titles?.join('; ') ?? words.holds.everything}</p>
        <p className="small">{words.holds.between(day(from), day(to))}</p>
      </div>
      <p>{reason}</p>
      <p className="small">
        {words.holds.signedBy(signature.name, format.dayAndClock(signature.at))}
        {lifted && (
          <>
            ; {words.holds.liftedBy(lifted.signature.name, format.dayAndClock(lifted.signature.at))}: {lifted.reason}
          </>
        )}
      </p>
      {signs && !lifted && (
        <div className="row-ways">
          <Button onPress={() => setAsked(true)} aria-label={`${words.holds.lift}: ${reason}`}>
            {words.holds.lift}
          </Button>
        </div>
      )}
      {asked && <LiftSheet id={hold.id} onClose={() => setAsked(false)} />}
    </>
  );
}
