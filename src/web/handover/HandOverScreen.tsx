import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import type { Bath, ControlTask } from '../api.paths.js';
import { BATHS } from '../baths/words.js';
import { useBench } from '../bench/bench.js';
import { controlName } from '../control-results/parts.js';
import { useTasks } from '../controls/queries.js';
import { CONTROLS } from '../controls/words.js';
import { useOutbox } from '../offline/outbox.js';
import { OFFLINE } from '../offline/words.js';
import { Button } from '../parts/Button.js';
import { someLabels } from '../parts/format.js';
import { Page, Part, Tag } from '../parts/Page.js';
import { useBeat } from '../parts/ticker.js';
import './handover.css';
import { Known } from './Known.js';
import { Notes } from './Notes.js';
import { useBathsToMind, useHeld, useOpenFailures } from './queries.js';
import { Eyes, Racks } from './Racks.js';
import { TakeOver } from './TakeOver.js';
import { HANDOVER } from './words.js';

const words = HANDOVER.page;

/** What the next pair of hands takes over, in one look and on one sheet of paper, and the place to take it over. */
export default function HandOverScreen() {
  const { format, may, person } = useSession();
  const at = useBeat((now) => format.dayAndClock(now.at));
  const { runs, error } = useBench();
  const standing = { data: runs, failed: error !== null };
  const takes = may('technician', 'releaser');
  return (
    <Page
      title={words.title}
      about={<p>{words.about(at, person.name)}</p>}
      ways={
        <>
          {takes && (
            <a className="button" href="#take-over">
              {HANDOVER.title}
            </a>
          )}
          <Button onPress={() => print()}>{words.print}</Button>
        </>
      }
    >
      <Part title={words.racks}>
        <Known asked={standing} none={(all) => all.length === 0} word={words.noRacks}>
          {(all) => <Racks runs={all} />}
        </Known>
      </Part>
      <div className="hand-over">
        <Part title={words.notes.title}>
          <Notes />
        </Part>
        <Part title={words.eyes}>
          <Known asked={standing} none={() => false} word="">
            {(all) => <Eyes runs={all} />}
          </Known>
        </Part>
        <Part title={words.held}>
          <Held />
        </Part>
        <Part title={words.controls}>
          <Controls />
        </Part>
        <Part title={words.baths}>
          <Baths />
        </Part>
        <Part title={words.device}>
          <OnDevice />
        </Part>
      </div>
      {takes && (
        <section className="desk-part take-over not-printed" aria-labelledby="take-over">
          <h2 id="take-over">{HANDOVER.title}</h2>
          <p className="small">{HANDOVER.help}</p>
          <TakeOver key={person.id} />
        </section>
      )}
      <p className="small">{words.caution}</p>
    </Page>
  );
}

function Held() {
  return (
    <Known asked={useHeld()} none={(runs) => runs.length === 0} word={words.nothingHeld}>
      {(runs) => (
        <ul className="lines">
          {runs.map(({ id, title, station, labels, why }) => (
            <li key={id}>
              <Link href={`/release/${id}`} className="line-title">
                {title}
              </Link>
              <p className="small">
                {station} · {someLabels(labels)}
              </p>
              <p>{why.join(', ')}</p>
            </li>
          ))}
        </ul>
      )}
    </Known>
  );
}

function Controls() {
  const { format } = useSession();
  const tasks = useTasks();
  const failures = useOpenFailures();
  const due = tasks.data && duesOf(tasks.data.tasks);
  const failed = failures.data?.items;
  const asked = {
    data: due && failed && { due, failed },
    failed: tasks.error !== null || failures.error !== null,
  };
  return (
    <Known asked={asked} none={(all) => all.due.length + all.failed.length === 0} word={words.noControls}>
      {(all) => (
        <ul className="lines">
          {all.failed.map(({ id, result }) => (
            <li key={id}>
              <Tag frame="full">{words.failed}</Tag>{' '}
              <Link href={`/controls/failures/${id}`} className="line-title">
                {controlName(result)}
              </Link>
              <p className="small">
                {result.title} · <span className="figures">{format.dayAndClock(result.at)}</span>
              </p>
            </li>
          ))}
          {all.due.map(({ key, state, title, station, controls, until }) => (
            <li key={key}>
              <Tag frame={state === 'overdue' ? 'full' : 'double'}>{CONTROLS.today.states[state]}</Tag>{' '}
              <Link href="/controls" className="line-title">
                {title}
              </Link>
              <p className="small">
                {[station, ...controls].filter(Boolean).join(' · ')}
                {until !== null && (
                  <span className="figures"> · {CONTROLS.today.until(format.dayAndClock(until))}</span>
                )}
              </p>
            </li>
          ))}
        </ul>
      )}
    </Known>
  );
}

interface Due {
  key: string;
  state: 'overdue' | 'due';
  title: string;
  station: string | null;
  /** Which controls, each once. */
  controls: string[];
  /** The first instant by which one of them has to be answered; null where none has one. */
  until: string | null;
}

/** One line for each stain and bench, what is overdue first: which slides they are is for the page of controls. */
function duesOf(tasks: readonly ControlTask[]): Due[] {
  const lines = new Map<string, Due>();
  for (const { protocolId, title, requirement, kind, state, station, dueUntil } of tasks) {
    if (state !== 'overdue' && state !== 'due') continue;
    const key = `${state} ${protocolId} ${station ?? ''}`;
    const line = lines.get(key) ?? { key, state, title, station, controls: [], until: dueUntil };
    const control = CONTROLS.control(requirement, CONTROLS.kinds[kind]);
    if (!line.controls.includes(control)) line.controls.push(control);
    if (dueUntil !== null && (line.until === null || dueUntil < line.until)) line.until = dueUntil;
    lines.set(key, line);
  }
  return [...lines.values()].sort((a, b) => Number(a.state === 'due') - Number(b.state === 'due'));
}

function Baths() {
  const { format } = useSession();
  const { data, error } = useBathsToMind();
  return (
    <Known asked={{ data, failed: error !== null }} none={(baths) => baths.length === 0} word={words.noBaths}>
      {(baths) => (
        <ul className="lines">
          {baths.map((bath) => (
            <li key={bath.id}>
              <Link href="/stock/baths" className="line-title">
                {bath.name}
              </Link>{' '}
              <Tag frame={bath.changeDue || !bath.usable ? 'full' : 'double'}>{bathWord(bath)}</Tag>
              <p className="small">
                {bath.station} · {BATHS.place(bath.position)} ·{' '}
                <span className="figures">{BATHS.slides(bath.passed, bath.maxSlides)}</span>
                {bath.changeDueAt !== null && (
                  <span className="figures"> · {words.by(format.dayAndClock(bath.changeDueAt))}</span>
                )}
              </p>
            </li>
          ))}
        </ul>
      )}
    </Known>
  );
}

function bathWord({ changeDue, filterDue, usable }: Bath): string {
  if (changeDue) return BATHS.due.change;
  if (filterDue) return BATHS.due.filter;
  return usable ? BATHS.due.changeSoon : BATHS.due.unusable;
}

/** What stands on this device alone. */
function OnDevice() {
  const entries = useOutbox();
  if (entries.length === 0) return <p>{words.allSent}</p>;
  const refused = entries.filter((entry) => entry.refused !== null).length;
  const names = [...new Set(entries.map(({ by }) => by.name))];
  return (
    <ul className="lines">
      {names.map((name) => (
        <li key={name}>{words.unsent(name, entries.filter(({ by }) => by.name === name).length)}</li>
      ))}
      {refused > 0 && (
        <li>
          <Tag frame="full">{OFFLINE.refused(refused)}</Tag>
        </li>
      )}
    </ul>
  );
}
