import { useState } from 'react';
import { useSession } from '../app/session.js';
import type { NewRunEvent } from '../api.paths.js';
import type { Standing } from '../bench/bench.js';
import { TimeSheet, type ToldTime } from '../bench/TimeSheet.js';
import { BENCH } from '../bench/words.js';
import { Button } from '../parts/Button.js';
import { newId } from '../parts/ids.js';
import { sayProblem } from '../parts/notices.js';
import { benchClock } from '../parts/ticker.js';
import { AsideSheet } from './AsideSheet.js';
import type { Waiting } from './device.js';
import './offline.css';
import { outbox, useOutbox } from './outbox.js';
import { OFFLINE } from './words.js';

const words = OFFLINE.panel;
/** What a note holds at most. */
const LONGEST_NOTE = 1000;

/** What the server would not take, with why and what to do about it; it stays until it is taken in one way or another. */
export function Refused({ runs }: { runs: readonly Standing[] }) {
  const entries = useOutbox().filter(({ refused }) => refused !== null);
  if (entries.length === 0) return null;
  return (
    <section className="refused" aria-labelledby="refused-title">
      <h2 id="refused-title">{words.title}</h2>
      <p className="small">{words.help}</p>
      <ul>
        {entries.map((entry) => (
          <li key={entry.n}>
            <Entry entry={entry} run={runs.find(({ id }) => id === entry.runId) ?? null} />
          </li>
        ))}
      </ul>
    </section>
  );
}

function Entry({ entry, run }: { entry: Waiting; run: Standing | null }) {
  const { format, person } = useSession();
  const { event, by, refused } = entry;
  const step = 'step' in event.data && typeof event.data.step === 'string' ? `${event.data.step} ` : '';
  const what = `${step}${BENCH.log.kinds[event.kind]}`;
  const at = format.clock(event.stamp.at);
  const why = format.within(refused?.detail ?? '');
  const note = (text: string): NewRunEvent['data'] => ({ text: text.slice(0, LONGEST_NOTE) });
  const [asking, setAsking] = useState<'time' | 'aside' | null>(null);
  const close = (): void => setAsking(null);
  /** It goes again with the time that the person tells; what the device had is told in a note after it. */
  const date = async ({ at: told, uncertaintyMs, reason }: ToldTime): Promise<void> => {
    const stamp = { ...event.stamp, at: told, uncertaintyMs, late: true, monotonicMs: null };
    await outbox.instead(entry, newId(), { ...event, stamp });
    const text = words.dated(what, at, format.clock(told), reason);
    await outbox.add({
      key: newId(),
      runId: entry.runId,
      event: { kind: 'noted', data: note(text), stamp: benchClock.now() },
      by,
    });
  };
  const setAside = (reason: string): Promise<void> => {
    const data = note(words.noted(what, at, reason, why));
    return outbox.instead(entry, newId(), { kind: 'noted', data, stamp: event.stamp });
  };
  return (
    <>
      <p>
        <strong>{words.line(what, at, by.name)}</strong>
        <br />
        {run ? `${run.view.station} · ${run.view.revision.content.title}` : words.anotherRun}
      </p>
      <p>
        {words.why} {why}
      </p>
      {by.personId === person.id ? (
        <div className="line-ways">
          <Button onPress={() => void outbox.again(entry).catch(sayProblem)}>{words.again}</Button>
          {event.kind !== 'noted' && (
            <>
              <Button onPress={() => setAsking('time')}>{words.date}</Button>
              <Button look="quiet" onPress={() => setAsking('aside')}>
                {words.note}
              </Button>
            </>
          )}
          {asking === 'time' && (
            <TimeSheet
              what={what}
              at={event.stamp.at}
              onTime={(time) => void date(time).catch(sayProblem)}
              onClose={close}
            />
          )}
          {asking === 'aside' && (
            <AsideSheet what={what} onReason={(reason) => void setAside(reason).catch(sayProblem)} onClose={close} />
          )}
        </div>
      ) : (
        <p className="small">{words.others(by.name)}</p>
      )}
    </>
  );
}
