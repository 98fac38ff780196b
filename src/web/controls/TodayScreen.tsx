import { useState } from 'react';
import { Link } from 'react-aria-components';
import { useParam } from '../app/router.js';
import { useSession } from '../app/session.js';
import type { ControlTask } from '../api.paths.js';
import { ResultSheet } from '../control-results/ResultSheet.js';
import { Button } from '../parts/Button.js';
import { Finder } from '../parts/Finder.js';
import { Nothing, Page, Part, Tag, Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { WORDS } from '../words.js';
import { CalendarSheet } from './CalendarSheet.js';
import './controls.css';
import { useTasks } from './queries.js';
import { CONTROLS } from './words.js';

const words = CONTROLS.today;

/** A control at one bench with the clocks that ask for it: one slide may answer them all. */
interface Due {
  key: string;
  station: string | null;
  first: ControlTask;
  tasks: ControlTask[];
}

const URGENCY: ControlTask['state'][] = ['overdue', 'due', 'missed', 'to come', 'answered', 'not needed'];
const FRAMES = {
  overdue: 'full',
  due: 'double',
  missed: 'full',
  'to come': 'soft',
  answered: 'plain',
  'not needed': 'soft',
} as const;

/** Today's controls by bench, what is overdue on top. */
export default function TodayScreen() {
  const { may } = useSession();
  const { data, error, refetch } = useTasks();
  const [station, setStation] = useParam('bench');
  const [settings, setSettings] = useState(false);
  const [reading, setReading] = useState<{ runId: string; subjectId: string } | null>(null);
  const all = data?.tasks ?? [];
  const stations = [...new Set(all.flatMap((task) => task.station ?? []))].sort();
  const tasks = station === null ? all : all.filter((task) => task.station === null || task.station === station);
  const dues = duesOf(tasks);
  const count = (state: ControlTask['state']): number => dues.filter(({ first }) => first.state === state).length;
  const open = dues.filter(({ first }) => first.state !== 'answered');
  const done = dues.filter(({ first }) => first.state === 'answered');
  return (
    <Page
      title={words.title}
      about={<p>{words.about}</p>}
      ways={may('manager', 'director') && <Button onPress={() => setSettings(true)}>{words.calendar}</Button>}
    >
      {!data && <Waiting error={error} onRetry={() => void refetch()} />}
      {data && all.length === 0 && (
        <Nothing title={words.empty} first={{ href: '/protocols', word: WORDS.begin.protocols }}>
          <p>{words.emptyHelp}</p>
        </Nothing>
      )}
      {data && all.length > 0 && (
        <>
          <Finder found={dues.length} all={duesOf(all).length}>
            <SelectField
              label={words.station}
              value={station ?? 'every'}
              onChange={(id) => setStation(id === 'every' ? null : id)}
              options={[{ id: 'every', name: words.everyStation }, ...stations.map((id) => ({ id, name: id }))]}
            />
          </Finder>
          <p>{words.count(count('overdue'), count('due'), count('answered'))}</p>
          {placesOf(open).map((place) => (
            <Part key={place ?? ''} title={place ?? words.anyBench}>
              <ul className="lines">
                {open
                  .filter((due) => due.station === place)
                  .map((due) => (
                    <li key={due.key}>
                      <DueLine due={due} onRead={setReading} />
                    </li>
                  ))}
              </ul>
            </Part>
          ))}
          {open.length === 0 && <p>{words.nothingOpen}</p>}
          {done.length > 0 && (
            <Part title={words.done}>
              <ul className="lines">
                {done.map((due) => (
                  <li key={due.key}>
                    <DueLine due={due} onRead={setReading} />
                  </li>
                ))}
              </ul>
            </Part>
          )}
          <p className="small">{CONTROLS.caution}</p>
        </>
      )}
      {settings && <CalendarSheet onClose={() => setSettings(false)} />}
      {reading && <ResultSheet {...reading} onClose={() => setReading(null)} />}
    </Page>
  );
}

function duesOf(tasks: readonly ControlTask[]): Due[] {
  const dues = new Map<string, ControlTask[]>();
  for (const task of tasks) {
    const done = task.state === 'answered' ? 'done' : 'open';
    const key = [task.protocolId, task.requirement, task.station ?? '', done].join('/');
    dues.set(key, [...(dues.get(key) ?? []), task]);
  }
  return [...dues].flatMap(([key, own]) => {
    const [first] = own.sort((a, b) => URGENCY.indexOf(a.state) - URGENCY.indexOf(b.state));
    return first ? [{ key, station: first.station, first, tasks: own }] : [];
  });
}

/** Benches with what is most urgent first; what any bench may do comes last. */
function placesOf(dues: readonly Due[]): (string | null)[] {
  const places = [...new Set(dues.map(({ station }) => station))];
  const worst = (place: string | null): number =>
    Math.min(...dues.filter(({ station }) => station === place).map(({ first }) => URGENCY.indexOf(first.state)));
  return places.sort((a, b) => worst(a) - worst(b) || (a === null ? 1 : b === null ? -1 : a.localeCompare(b)));
}

function DueLine({
  due: { first, tasks },
  onRead,
}: {
  due: Due;
  onRead: (of: { runId: string; subjectId: string }) => void;
}) {
  const { may } = useSession();
  const answered = first.state === 'answered';
  const runs = [...new Set(tasks.flatMap(({ uncovered }) => uncovered))];
  const [unread] = first.unread;
  const [run] = runs;
  return (
    <div className="due">
      <div className="due-what">
        <p className="line-title">{first.title}</p>
        <p>{CONTROLS.control(first.requirement, CONTROLS.kinds[first.kind])}</p>
        {!answered && (
          <p className="small">
            {first.material}. {words.expected}: {first.expected}
          </p>
        )}
      </div>
      <ul className="due-clocks">
        {clocksOf(tasks).map((same) => (
          <Clock key={same[0].key} tasks={same} />
        ))}
      </ul>
      {!answered && (
        <div className="due-ways">
          {runs.length > 0 && <p className="small">{words.waiting(runs.length)}</p>}
          {unread && may('technician', 'releaser') && (
            <Button look="main" onPress={() => onRead(unread)}>
              {words.read}
            </Button>
          )}
          {!unread && may('technician', 'releaser') && (
            <Link href="/runs/new" className="way">
              {words.stain}
            </Link>
          )}
          {run !== undefined && (
            <Link href={`/release/${run}`} className="way">
              {words.see}
            </Link>
          )}
        </div>
      )}
    </div>
  );
}

/** Tasks of one clock that stand alike are told in one line, as several lots are. */
function clocksOf(tasks: readonly ControlTask[]): [ControlTask, ...ControlTask[]][] {
  const lines = new Map<string, [ControlTask, ...ControlTask[]]>();
  for (const task of tasks) {
    const line = `${task.clock} ${task.state} ${task.dueUntil ?? ''}`;
    const known = lines.get(line);
    if (known) known.push(task);
    else lines.set(line, [task]);
  }
  return [...lines.values()];
}

function Clock({ tasks }: { tasks: [ControlTask, ...ControlTask[]] }) {
  const { format } = useSession();
  const [{ clock, clause, state, dueUntil, dueFrom }] = tasks;
  const about = tasks.flatMap(({ aboutWords }) => aboutWords ?? []).join(', ');
  const until = dueUntil !== null && state !== 'answered' ? words.until(format.dayAndClock(dueUntil)) : null;
  const time = state === 'to come' ? words.from(format.dayAndClock(dueFrom)) : until;
  return (
    <li>
      <Tag frame={FRAMES[state]}>{words.states[state]}</Tag>{' '}
      <span title={`${CONTROLS.clause} ${clause}`}>
        {CONTROLS.clock(clock)}
        {about !== '' && `: ${about}`}
      </span>
      {time !== null && <span className="small figures"> {time}</span>}
    </li>
  );
}
