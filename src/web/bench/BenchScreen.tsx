import { lazy, Suspense, useMemo, useState } from 'react';
import { Link } from 'react-aria-components';
import { type NextAction, nextActions } from '../../core/run/next.js';
import { useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import { Refused } from '../offline/Refused.js';
import { kept } from '../parts/kept.js';
import { useKeys } from '../parts/pedal.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { useSound } from '../parts/sound.js';
import { beatNow, benchClock, useBeat } from '../parts/ticker.js';
import { useWakefulScreen } from '../parts/wake.js';
import { PlannedRuns } from '../plan/PlannedRuns.js';
import { PAPER } from '../paper/words.js';
import { PLAN } from '../plan/words.js';
import { WORDS } from '../words.js';
import { Ahead } from './Ahead.js';
import { hasBegun } from './ahead.js';
import './bench.css';
import { type Standing, useBench } from './bench.js';
import { NEXT_ACT, NextStrip } from './NextStrip.js';
import { RunLine } from './RunLine.js';
import { RunPanel } from './RunPanel.js';
import { useActs } from './useActs.js';
import { useMoments } from './useMoments.js';
import { useScans } from './useScans.js';
import { BENCH } from './words.js';

const TakeOverSheet = lazy(() => import('../handover/TakeOverSheet.js'));

/** The bench: what is next over all runs, the runs, and the one that is looked at. */
export default function BenchScreen() {
  const { runs: all, error, refetch } = useBench();
  const [station, setStation] = useStation();
  const [chosen, setChosen] = useParam('run');
  const runs = useMemo(() => all?.filter(({ view }) => station === null || view.station === station), [all, station]);
  const begun = useMemo(() => runs?.filter(hasBegun) ?? [], [runs]);
  const actions = useActions(runs ?? []);
  const open = runs?.find(({ id }) => id === chosen) ?? null;
  const [badge, setBadge] = useState<string | null>(null);
  const { act, sheet: actSheet } = useActs(runs ?? []);
  const { take, sheet: scanSheet } = useScans(runs ?? [], open, setChosen, setBadge, (runId) => {
    const action = actions.find((each) => each.runId === runId && each.kind === 'start');
    if (action) act(action, benchClock.now());
    else say(BENCH.notToStart);
  });
  useMoments(actions);
  useKeys(take, () => document.getElementById(NEXT_ACT)?.focus());
  useWakefulScreen(actions.length > 0);

  if (error && !all) {
    return <ProblemNote problem={error} onRetry={refetch} />;
  }
  if (!all || !runs) return <p className="opening">{WORDS.loading}</p>;
  // On a wide screen the place beside the list is not left empty.
  const shown = open ?? runs[0] ?? null;
  return (
    <div className={open ? 'bench bench-one' : 'bench'}>
      <h1 className="unseen">{BENCH.title}</h1>
      <NextStrip actions={actions} runs={runs} onAct={act} onOpen={setChosen} />
      {begun.length > 1 && <Ahead runs={begun} />}
      <Refused runs={all} />
      <section className="bench-runs" aria-label={BENCH.runs}>
        <BenchBar all={all} station={station} onStation={setStation} />
        {runs.length === 0 ? (
          <Empty station={station} />
        ) : (
          <ul className="run-lines">
            {runs.map((run) => (
              <li key={run.id}>
                <RunLine
                  run={run}
                  action={actions.find(({ runId }) => runId === run.id) ?? null}
                  open={shown?.id === run.id}
                  onOpen={() => setChosen(run.id)}
                />
              </li>
            ))}
          </ul>
        )}
        <PlannedRuns />
      </section>
      {shown && (
        <RunPanel
          key={shown.id}
          run={shown}
          runs={runs}
          onAct={act}
          onScan={take}
          onClose={open ? () => setChosen(null) : null}
        />
      )}
      {badge !== null ? (
        <Suspense>
          <TakeOverSheet scanned={badge} onClose={() => setBadge(null)} />
        </Suspense>
      ) : (
        (scanSheet ?? actSheet)
      )}
    </div>
  );
}

/** The station of this screen, kept on the device and in the address; null for all of them. */
function useStation(): [string | null, (to: string | null) => void] {
  const [inAddress, setInAddress] = useParam('station');
  const [atHome, setAtHome] = useState(() => kept.read('station') ?? '');
  const station = inAddress ?? atHome;
  return [
    station === '' ? null : station,
    (to) => {
      kept.write('station', to ?? '');
      setAtHome(to ?? '');
      setInAddress(to);
    },
  ];
}

/** What is to be done, in its order; ordered anew only when time really changes it. */
function useActions(runs: readonly Standing[]): NextAction[] {
  const order = useBeat((now) =>
    nextActions(runs, now)
      .map(({ runId, kind, step }) => `${runId} ${kind} ${step?.id ?? ''}`)
      .join('|'),
  );
  // The order is the part of it that depends on time.
  return useMemo(() => (order === '' ? [] : nextActions(runs, beatNow())), [order, runs]);
}

function BenchBar({
  all,
  station,
  onStation,
}: {
  all: readonly Standing[];
  station: string | null;
  onStation: (station: string | null) => void;
}) {
  const { may } = useSession();
  const sound = useSound();
  const stations = [...new Set([...all.map(({ view }) => view.station), ...(station ? [station] : [])])].sort();
  return (
    <div className="bench-bar">
      <label>
        {BENCH.station}
        <select value={station ?? ''} onChange={({ target }) => onStation(target.value === '' ? null : target.value)}>
          <option value="">{BENCH.allStations}</option>
          {stations.map((each) => (
            <option key={each}>{each}</option>
          ))}
        </select>
      </label>
      {station && (
        <Link className="button button-quiet" href={`/room/${encodeURIComponent(station)}`} target="_blank">
          {BENCH.room}
        </Link>
      )}
      <Link className="button button-quiet" href="/plan">
        {PLAN.bench.open}
      </Link>
      <Link className="button button-quiet" href="/paper">
        {PAPER.open}
      </Link>
      {may('technician', 'releaser') && (
        <Link className="button button-main" href="/runs/new">
          {BENCH.newRun}
        </Link>
      )}
      <p className="small bench-help">
        {BENCH.scanHelp} {sound === 'waiting for a touch' && BENCH.soundWaits}
      </p>
    </div>
  );
}

function Empty({ station }: { station: string | null }) {
  return (
    <div className="empty">
      <h2>{station ? BENCH.emptyStation(station) : BENCH.empty}</h2>
      <p>{BENCH.emptyHelp}</p>
    </div>
  );
}
