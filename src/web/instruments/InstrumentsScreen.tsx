import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import type { Instrument } from '../api.paths.js';
import { OpenDeviation } from '../deviations/OpenDeviation.js';
import { Button } from '../parts/Button.js';
import { csvOf, Export } from '../parts/Export.js';
import { Nothing, Page, Tag, Waiting } from '../parts/Page.js';
import { ActSheet, AddSheet } from './sheets.js';
import { INSTRUMENTS as words } from './words.js';

/** What the laboratory measures with, what is due, and what speaks against using it. */
export default function InstrumentsScreen() {
  const { may } = useSession();
  const { data, error, refetch } = useQuery({
    queryKey: ['instruments'],
    queryFn: () => got(api.GET('/api/instruments')),
  });
  const [adding, setAdding] = useState(false);
  const [asked, setAsked] = useState<Instrument | null>(null);
  const sorted = [...(data ?? [])].sort((a, b) => b.faults.length - a.faults.length || a.code.localeCompare(b.code));
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        <>
          {may('manager', 'director') && <Button onPress={() => setAdding(true)}>{words.add.open}</Button>}
          <Export files={[csvOf('instruments/list.csv')]} />
        </>
      }
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data?.length === 0 && (
        <Nothing title={words.empty}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      <ul className="lines">
        {sorted.map((instrument) => (
          <li key={instrument.id}>
            <InstrumentLine instrument={instrument} onAct={() => setAsked(instrument)} />
          </li>
        ))}
      </ul>
      {adding && <AddSheet onClose={() => setAdding(false)} />}
      {asked && <ActSheet instrument={asked} onClose={() => setAsked(null)} />}
    </Page>
  );
}

function InstrumentLine({ instrument, onAct }: { instrument: Instrument; onAct: () => void }) {
  const { format, may } = useSession();
  const { code, name, kind, serial, station, calibrationDue, serviceDue, faults, acts } = instrument;
  return (
    <article className="instrument">
      <h2 className="line-title">
        {code} <span className="small">{name}</span>
      </h2>
      <p className="tag-line">
        {faults.length === 0 && <Tag>{words.fit}</Tag>}
        {faults.map(({ fault }) => (
          <Tag key={fault} frame={fault === 'service-over' ? 'double' : 'full'}>
            {words.faults[fault]}
          </Tag>
        ))}
      </p>
      <p className="small">
        {[
          words.kinds[kind],
          ...(serial === null ? [] : [serial]),
          station === null ? words.noPlace : words.place(station),
          ...(calibrationDue === null ? [] : [words.calibrationDue(format.lastDay(calibrationDue))]),
          ...(serviceDue === null ? [] : [words.serviceDue(format.lastDay(serviceDue))]),
        ].join(' · ')}
      </p>
      {may('technician', 'manager', 'director') && (
        <Button aria-label={words.act.openFor(code)} onPress={onAct}>
          {words.act.open}
        </Button>
      )}
      <OpenDeviation from={{ subject: 'instrument', subjectId: instrument.id }} about={code} />
      {acts.length > 0 && (
        <details>
          <summary>{words.history}</summary>
          <ul className="plain-list">
            {acts.map((act) => (
              <li key={act.id} className="small">
                <span className="figures">{format.dayAndClock(act.at)}</span> {words.act.kinds[act.kind].name}
                {act.passed !== null && ` (${act.passed ? words.passed : words.failed})`}
                {act.station !== null && ` (${act.station})`}: {act.note}
              </li>
            ))}
          </ul>
        </details>
      )}
    </article>
  );
}
