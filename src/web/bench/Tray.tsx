import type { ContainerFacts } from '../../core/lot/facts.js';
import { whyUnusable } from '../../core/lot/facts.js';
import { useSession } from '../app/session.js';
import { shortLabel } from '../parts/format.js';
import { ScanField } from '../parts/ScanField.js';
import { beatNow, useBeat } from '../parts/ticker.js';
import { BathWays } from './BathWays.js';
import { type Standing, useCatalogue } from './bench.js';
import { useGateText } from './gateText.js';
import { BENCH } from './words.js';

const words = BENCH.tray;

/** Which bottle stands for which reagent, until when it may be used, and every reason why one may not. */
export function Tray({ run, onScan }: { run: Standing; onScan: (text: string) => void }) {
  const { name, fromTap } = useCatalogue();
  const { may } = useSession();
  const reagents = [...new Set(run.view.revision.content.steps.flatMap(({ reagent }) => reagent ?? []))];
  return (
    <>
      <p className="small">{words.help}</p>
      <ul className="tray">
        {reagents.map((reagent) => {
          const standing = run.state.tray.filter((place) => place.reagent === reagent).at(-1);
          const container = run.view.containers.find(({ id }) => id === standing?.container);
          return (
            <li key={reagent}>
              <p>
                <strong>{name(reagent)}</strong>
              </p>
              {container && (
                <Bottle container={container} reagent={reagent} forPatients={run.view.purpose === 'patients'} />
              )}
              {!container && (
                <p className={fromTap(reagent) ? 'small' : 'tray-missing'}>
                  {fromTap(reagent) ? words.fromTap : words.missing}
                </p>
              )}
            </li>
          );
        })}
      </ul>
      {may('technician', 'releaser') && <ScanField label={words.scan} action={words.take} onText={onScan} />}
    </>
  );
}

function Bottle({
  container,
  reagent,
  forPatients,
}: {
  container: ContainerFacts;
  reagent: string;
  forPatients: boolean;
}) {
  const { format } = useSession();
  const text = useGateText();
  // Judged anew with every beat, since a bottle can run out of its time while it stands there.
  const codes = useBeat((now) =>
    whyUnusable(container, reagent, now, forPatients)
      .map(({ code }) => code)
      .join(),
  );
  const reasons = codes === '' ? [] : whyUnusable(container, reagent, beatNow(), forPatients);
  const until = container.limits.map((limit) => limit.until).sort()[0];
  return (
    <>
      <p>
        {BENCH.bottle(shortLabel(container.label))} · {words.lot(container.lot.number)}
      </p>
      {reasons.length === 0 ? (
        <p className="small">{until ? words.until(format.dayAndClock(until)) : words.noLimit}</p>
      ) : (
        <ul className="reasons">
          {reasons.map(({ code, message, against }) => (
            <li key={`${code} ${against ?? ''}`}>{text(message)}</li>
          ))}
        </ul>
      )}
      <BathWays container={container} />
    </>
  );
}
