import { useState } from 'react';
import { Link } from 'react-aria-components';
import { useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { shortLabel } from '../parts/format.js';
import { Page, Part, Tag, Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { ScanField } from '../parts/ScanField.js';
import { CountSheet } from './CountSheet.js';
import { amountText, type OpenCount, useOpenCounts } from './ledger.js';
import './ledger.css';
import { Report } from './Report.js';
import { StockTake } from './StockTake.js';
import { LEDGER_WORDS } from './words.js';

const words = LEDGER_WORDS.counts;

/** Counts that are asked for, a stock-take, and what counts found. */
export default function CountsScreen() {
  const { may } = useSession();
  const [container, setContainer] = useParam('container');
  const mayCount = may('technician', 'manager', 'director');
  return (
    <Page title={words.title} about={<p>{words.about}</p>}>
      {mayCount && <Scan onContainer={setContainer} />}
      <Part title={words.open} about={words.openAbout}>
        <Open {...(mayCount && { onCount: setContainer })} />
      </Part>
      <Part title={words.takeTitle} about={words.takeAbout}>
        <StockTake {...(mayCount && { onCount: setContainer })} />
      </Part>
      <Part title={words.report} about={words.reportAbout}>
        <Report />
      </Part>
      {container !== null && mayCount && <CountSheet id={container} onClose={() => setContainer(null)} />}
    </Page>
  );
}

/** Scans the container that is in the hand and opens its count. */
function Scan({ onContainer }: { onContainer: (id: string) => void }) {
  const [wrong, setWrong] = useState<string>();
  const look = useChange(
    (text: string, key) => got(api.POST('/api/scan', { body: { text }, ...once(key) })),
    ({ container, message }) => {
      setWrong(container ? undefined : `${message} ${words.notContainer}`);
      if (container) onContainer(container.id);
    },
  );
  return (
    <div className="look">
      <ScanField label={words.scan} action={words.look} busy={look.isPending} error={wrong} onText={look.ask} />
      <ProblemNote problem={look.error} />
    </div>
  );
}

function Open({ onCount }: { onCount?: (id: string) => void }) {
  const open = useOpenCounts();
  if (!open.data) return <Waiting error={open.error} onRetry={() => void open.refetch()} />;
  if (open.data.items.length === 0) return <p>{words.noneOpen}</p>;
  return (
    <ul className="lines">
      {open.data.items.map((each) => (
        <li key={each.containerId}>
          <OpenLine open={each} {...(onCount && { onCount })} />
        </li>
      ))}
    </ul>
  );
}

function OpenLine({ open, onCount }: { open: OpenCount; onCount?: (id: string) => void }) {
  const { format } = useSession();
  const { name } = useCatalogue();
  const { containerId, label, reagent, lotNumber, since, runId, short } = open;
  return (
    <div className="count-line">
      <p>
        <span className="line-title">{shortLabel(label)}</span> {name(reagent)}{' '}
        <span className="small">{LEDGER_WORDS.ledger.lot(lotNumber)}</span>
      </p>
      <p>
        <Tag frame="double">{short ? words.short(amountText(short)) : words.held}</Tag>{' '}
        <span className="small">
          {words.since(format.dayAndClock(since))}
          {runId !== null && (
            <>
              , <Link href={`/release/${runId}`}>{words.toRun}</Link>
            </>
          )}
        </span>
      </p>
      {onCount && (
        <Button aria-label={`${words.count} ${shortLabel(label)}`} onPress={() => onCount(containerId)}>
          {words.count}
        </Button>
      )}
    </div>
  );
}
