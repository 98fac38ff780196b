import { useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { shortLabel } from '../parts/format.js';
import { Tag, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { benchClock } from '../parts/ticker.js';
import { usePlaces } from '../places/places.js';
import { useReagents } from '../stock/stock.js';
import { type OnHandContainer, useOnHandOf } from './ledger.js';
import { LEDGER_WORDS } from './words.js';

const words = LEDGER_WORDS.counts;

/** Goes through a reagent or a place, container by container; what was counted today is done. */
export function StockTake({ onCount }: { onCount?: (id: string) => void }) {
  const { format } = useSession();
  const [reagent, setReagent] = useParam('reagent');
  const [place, setPlace] = useParam('place');
  const { data: reagents = [] } = useReagents();
  const places = usePlaces().data?.places ?? [];
  const asked = { ...(reagent !== null && { reagent }), ...(place !== null && { place }) };
  const shelf = useOnHandOf(asked);
  const today = format.day(benchClock.now().at);
  const isDone = ({ countedAt }: OnHandContainer): boolean => countedAt !== null && format.day(countedAt) === today;
  const lines = (shelf.data?.items ?? []).flatMap(({ name, containers }) =>
    containers.map((container) => ({ name, container })),
  );
  const next = lines.find(({ container }) => !isDone(container))?.container.id;
  return (
    <>
      <div className="finder">
        <SelectField
          label={words.reagent}
          value={reagent ?? 'any'}
          onChange={(value) => setReagent(value === 'any' ? null : value)}
          options={[{ id: 'any', name: words.anyReagent }, ...reagents.map(({ code, name }) => ({ id: code, name }))]}
        />
        <SelectField
          label={words.place}
          value={place ?? 'any'}
          onChange={(value) => setPlace(value === 'any' ? null : value)}
          options={[
            { id: 'any', name: words.anyPlace },
            ...places.map(({ code, name }) => ({ id: code, name: `${code} · ${name}` })),
          ]}
        />
      </div>
      {shelf.isFetching && !shelf.data && <Waiting error={shelf.error} onRetry={() => void shelf.refetch()} />}
      {shelf.data && lines.length === 0 && <p>{words.nothing}</p>}
      {lines.length > 0 && (
        <>
          <p role="status" className="figures">
            {words.progress(lines.filter(({ container }) => isDone(container)).length, lines.length)}
          </p>
          <ul className="lines">
            {lines.map(({ name, container }) => (
              <li key={container.id} className="count-line">
                <p>
                  <span className="line-title">{shortLabel(container.label)}</span> {name}{' '}
                  <span className="small">
                    {LEDGER_WORDS.ledger.lot(container.lotNumber)}
                    {container.place !== null && ` · ${container.place}`}
                  </span>
                </p>
                <p>
                  {isDone(container) && <Tag>{words.countedToday}</Tag>}
                  {container.id === next && <Tag frame="double">{words.next}</Tag>}
                  {!isDone(container) && container.id !== next && <Tag frame="soft">{words.notYet}</Tag>}
                </p>
                {onCount && (
                  <Button
                    aria-label={`${words.count} ${shortLabel(container.label)}`}
                    onPress={() => onCount(container.id)}
                  >
                    {words.count}
                  </Button>
                )}
              </li>
            ))}
          </ul>
        </>
      )}
    </>
  );
}
