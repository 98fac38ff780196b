import { Link } from 'react-aria-components';
import type { ScreenProps } from '../app/screen.js';
import { useSession } from '../app/session.js';
import type { Container, Lot } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { Waiting } from '../parts/Page.js';
import { useLot, useReagents } from './stock.js';
import './labels.css';
import { STOCK } from './words.js';

const words = STOCK.labels;

/** The text of a lot's labels as it goes to the printer: nothing else stands on the page. */
export default function LabelsScreen({ lot: id = '' }: ScreenProps) {
  const { data, error, refetch } = useLot(id);
  if (!data) {
    return (
      <main className="labels-page">
        <Waiting error={error} onRetry={() => void refetch()} />
      </main>
    );
  }
  return (
    <main className="labels-page">
      <header className="labels-head">
        <h1>{words.title(data.number)}</h1>
        <p className="small">{words.help}</p>
        <div className="ways">
          <Button look="main" onPress={() => print()}>
            {words.print}
          </Button>
          <Link href={`/stock/${data.id}`} className="button">
            {words.back}
          </Link>
        </div>
      </header>
      <ul className="labels">
        {data.containers
          .filter(({ state }) => state === 'unopened' || state === 'opened')
          .map((container) => (
            <li key={container.id}>
              <LabelText lot={data} container={container} />
            </li>
          ))}
      </ul>
    </main>
  );
}

function LabelText({ lot, container: { label, size, states, limits } }: { lot: Lot; container: Container }) {
  const { format, laboratory } = useSession();
  const { name } = useCatalogue();
  const reagents = useReagents();
  const cautions = reagents.data?.find(({ code }) => code === lot.reagent)?.cautions ?? [];
  const opened = states.find(({ state }) => state === 'opened');
  const until = limits.find(({ by }) => by === 'opened')?.until ?? lot.usableUntil;
  return (
    <>
      <p className="labels-name">
        {name(lot.reagent)} {lot.strength !== null && !name(lot.reagent).includes(lot.strength) && lot.strength}
      </p>
      <p className="labels-code">{label}</p>
      <dl>
        <Line name={words.lot} value={[lot.number, size].filter(Boolean).join(' · ')} />
        {lot.expiry !== null && <Line name={words.expiry} value={lot.expiry} />}
        <Line name={words.opened} value={opened ? format.dayAndClock(opened.at) : null} />
        <Line name={words.until} value={opened && until ? format.dayAndClock(until) : null} />
      </dl>
      {lot.storage !== null && <p>{lot.storage}</p>}
      {cautions.map(({ agent, signal, codes }) => (
        <p key={agent}>
          <strong>{signal === 'none' ? '' : signal}</strong> {codes.join(' ')}
        </p>
      ))}
      <p className="labels-place">{laboratory.name}</p>
    </>
  );
}

/** A line of a label; empty ones are ruled, to be written on. */
function Line({ name, value }: { name: string; value: string | null }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd className={value === null ? 'labels-blank' : undefined}>{value}</dd>
    </div>
  );
}
