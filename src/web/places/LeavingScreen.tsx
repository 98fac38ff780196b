import { useState } from 'react';
import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import type { LeavingList } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { Nothing, Page, Part, Waiting } from '../parts/Page.js';
import { StateSheet } from '../stock/sheets.js';
import { ApartSheet } from './ApartSheet.js';
import { useLeaving, usePlaces } from './places.js';
import '../stock/stock.css';
import './places.css';
import { PLACES_WORDS } from './words.js';

const words = PLACES_WORDS.leaving;

type Asked =
  | { sheet: 'apart'; containers: readonly string[] }
  | { sheet: 'discarded' | 'opened'; container: { id: string; label: string } }
  | null;

/** What must leave the shelf today, and what was opened without a date. */
export default function LeavingScreen() {
  const { may } = useSession();
  const { data, error, refetch } = useLeaving();
  const [asked, setAsked] = useState<Asked>(null);
  const acting = may('technician', 'manager', 'director');
  const leaving = data?.leaving ?? [];
  // Ammoniacal silver is never put anywhere.
  const movable = leaving.filter(({ neverStored }) => !neverStored);
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={
        acting &&
        movable.length > 1 && (
          <Button look="main" onPress={() => setAsked({ sheet: 'apart', containers: movable.map(({ id }) => id) })}>
            {words.setAll(movable.length)}
          </Button>
        )
      }
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data && leaving.length === 0 && (
        <Nothing title={words.none}>
          <p>{words.noneHelp}</p>
        </Nothing>
      )}
      {leaving.length > 0 && <Leaving leaving={leaving} acting={acting} onAsk={setAsked} />}
      {data && data.undated.length > 0 && (
        <Part title={words.undated}>
          <p>{words.undatedHelp}</p>
          <Undated undated={data.undated} acting={acting} onAsk={setAsked} />
        </Part>
      )}
      {asked?.sheet === 'apart' && <ApartSheet containers={asked.containers} onClose={() => setAsked(null)} />}
      {(asked?.sheet === 'discarded' || asked?.sheet === 'opened') && (
        <StateSheet container={asked.container} state={asked.sheet} onClose={() => setAsked(null)} />
      )}
    </Page>
  );
}

function Leaving({
  leaving,
  acting,
  onAsk,
}: {
  leaving: LeavingList['leaving'];
  acting: boolean;
  onAsk: (asked: Asked) => void;
}) {
  const { format } = useSession();
  const { name } = useCatalogue();
  const places = usePlaces();
  const nameOf = (code: string | null): string =>
    places.data?.places.find((each) => each.code === code)?.name ?? code ?? words.nowhere;
  return (
    <div className="table-place">
      <table>
        <thead>
          <tr>
            <th scope="col">{words.container}</th>
            <th scope="col">{words.where}</th>
            <th scope="col">{words.why}</th>
            {acting && <th scope="col">{words.acts}</th>}
          </tr>
        </thead>
        <tbody>
          {leaving.map(({ id, label, reagent, lotId, lotNumber, place, reasons, neverStored }) => (
            <tr key={id}>
              <th scope="row">
                <span className="label">{label}</span>
                <span className="step-more-words">
                  <Link href={`/stock/${lotId}`}>
                    {name(reagent)}, {lotNumber}
                  </Link>
                </span>
              </th>
              <td data-label={words.where}>{nameOf(place)}</td>
              <td data-label={words.why}>
                <ul className="why">
                  {reasons.map(({ code, message, against }) => {
                    const why = words.because[code];
                    const short = why !== undefined && against !== undefined;
                    return (
                      <li key={code + message}>
                        {short ? words.since(why, format.dayAndClock(against)) : format.within(message)}
                      </li>
                    );
                  })}
                </ul>
              </td>
              {acting && (
                <td data-label={words.acts}>
                  <span className="row-ways">
                    {!neverStored && (
                      <Button
                        aria-label={`${words.setApart}: ${label}`}
                        onPress={() => onAsk({ sheet: 'apart', containers: [id] })}
                      >
                        {words.setApart}
                      </Button>
                    )}
                    <Button
                      look="quiet"
                      aria-label={`${words.discard}: ${label}`}
                      onPress={() => onAsk({ sheet: 'discarded', container: { id, label } })}
                    >
                      {words.discard}
                    </Button>
                  </span>
                </td>
              )}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function Undated({
  undated,
  acting,
  onAsk,
}: {
  undated: LeavingList['undated'];
  acting: boolean;
  onAsk: (asked: Asked) => void;
}) {
  const { format } = useSession();
  const { name } = useCatalogue();
  return (
    <ul className="checks">
      {undated.map(({ id, label, reagent, lotId, lotNumber, usedAt }) => (
        <li key={id}>
          <p className="tag-line">
            <span className="label">{label}</span>
            <Link href={`/stock/${lotId}`}>
              {name(reagent)}, {lotNumber}
            </Link>
            <span className="small figures">
              {words.used} {format.dayAndClock(usedAt)}
            </span>
            {acting && (
              <Button
                aria-label={`${words.open}: ${label}`}
                onPress={() => onAsk({ sheet: 'opened', container: { id, label } })}
              >
                {words.open}
              </Button>
            )}
          </p>
        </li>
      ))}
    </ul>
  );
}
