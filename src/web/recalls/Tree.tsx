import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import type { LotTrace, TracedLot, TracedRun } from '../api.paths.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { shortLabel } from '../parts/format.js';
import { Waiting } from '../parts/Page.js';
import { ConditionTag, StandingTag } from '../stock/Tags.js';
import { useReachedRuns } from './recalls.js';
import './recalls.css';
import { RECALLS as words } from './words.js';

/** How much a trace touches, in figures. */
export function Counts({ counts }: Pick<LotTrace, 'counts'>) {
  return (
    <dl className="reach">
      {(Object.keys(words.counts) as (keyof typeof words.counts)[]).map((each) => (
        <div key={each}>
          <dt>{words.counts[each]}</dt>
          <dd className="figures">{counts[each]}</dd>
        </div>
      ))}
    </dl>
  );
}

/** The lots of a trace as a tree, from where it begins through containers to what was made of them. */
export function Tree({ roots, lots }: Pick<LotTrace, 'roots' | 'lots'>) {
  const seen = new Set<string>();
  return (
    <ul className="tree">
      {lots
        .filter(({ id }) => roots.includes(id))
        .map((lot) => (
          <Branch key={lot.id} lot={lot} lots={lots} seen={seen} />
        ))}
    </ul>
  );
}

/** A lot that came up before is named and not unfolded again. */
function Branch({ lot, lots, seen }: { lot: TracedLot; lots: readonly TracedLot[]; seen: Set<string> }) {
  const { name } = useCatalogue();
  const { format } = useSession();
  const again = seen.has(lot.id);
  seen.add(lot.id);
  return (
    <li>
      <p className="tag-line">
        <span className="line-title">{name(lot.reagent)}</span>
        <Link href={`/stock/${lot.id}`}>{words.lot(lot.number)}</Link> <StandingTag standing={lot.standing} />
        <span className="small figures">{format.dayAndClock(lot.receivedAt)}</span>
        {again && <span className="small">({words.again})</span>}
      </p>
      {!again && (
        <details open>
          <summary className="small">{words.containers(lot.containers.length)}</summary>
          <ul>
            {lot.containers.map((container) => {
              const made = lots.filter(({ madeOf }) => madeOf.some(({ containerId }) => containerId === container.id));
              return (
                <li key={container.id}>
                  <p className="tag-line">
                    <span className="label">{shortLabel(container.label)}</span>
                    <ConditionTag condition={container.state} />
                    <span className={container.runs > 0 ? undefined : 'small'}>{words.inRuns(container.runs)}</span>
                    {made.length > 0 && <span className="small">{words.madeOf}</span>}
                  </p>
                  {made.length > 0 && (
                    <ul>
                      {made.map((each) => (
                        <Branch key={each.id} lot={each} lots={lots} seen={seen} />
                      ))}
                    </ul>
                  )}
                </li>
              );
            })}
          </ul>
        </details>
      )}
    </li>
  );
}

/** The runs that a lot or a recall reaches, each with what was stained and released. */
export function ReachedRuns({ of, id, lots }: { of: 'lot' | 'recall'; id: string; lots: readonly TracedLot[] }) {
  const runs = useReachedRuns(of, id);
  if (!runs.items) return <Waiting error={runs.error} onRetry={() => void runs.refetch()} />;
  if (runs.items.length === 0) return <p>{words.noRuns}</p>;
  return (
    <>
      <ul className="lines">
        {runs.items.map((run) => (
          <li key={run.id}>
            <RunLine run={run} lots={lots} />
          </li>
        ))}
      </ul>
      {runs.hasNextPage && (
        <div>
          <Button onPress={() => void runs.fetchNextPage()} isDisabled={runs.isFetchingNextPage}>
            {words.more}
          </Button>
        </div>
      )}
    </>
  );
}

export function RunLine({ run, lots }: { run: TracedRun; lots: readonly TracedLot[] }) {
  const { format } = useSession();
  const labels = lots
    .flatMap(({ containers }) => containers)
    .filter((container) => run.containerIds.includes(container.id))
    .map(({ label }) => shortLabel(label));
  return (
    <details>
      <summary>
        <span className="line-title">{run.title}</span>{' '}
        <span className="figures">{format.dayAndClock(run.startedAt)}</span> {run.station}{' '}
        <span className="small">
          {words.through} {labels.join(', ')}
        </span>
      </summary>
      <p>
        <Link href={`/release/${run.id}`}>{words.openRun}</Link>
      </p>
      <ul className="checks">
        {run.subjects.map((subject) => (
          <li key={subject.id}>
            <p>
              <span className="label">{shortLabel(subject.label)}</span> {subject.description}
            </p>
            {subject.role === 'patient' && (
              <p className="small">
                {subject.releases.length === 0
                  ? words.notReleased
                  : subject.releases
                      .map(({ kind, at, name }) => words.released(kind, format.dayAndClock(at), name))
                      .join('; ')}
              </p>
            )}
          </li>
        ))}
      </ul>
    </details>
  );
}
