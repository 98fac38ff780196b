import { useState } from 'react';
import type { RunEvent } from '../../core/run/events.js';
import { effectiveEvents } from '../../core/run/state.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { shortLabel } from '../parts/format.js';
import { useRecord } from './acts.js';
import { type Standing, useCatalogue } from './bench.js';
import { TimeSheet } from './TimeSheet.js';
import { BENCH, stepName } from './words.js';

const words = BENCH.log;
/** What a person may take back or date anew; the rest stands as it was said. */
const MENDABLE: readonly RunEvent['kind'][] = [
  'tray-scanned',
  'step-started',
  'step-ended',
  'temperature-read',
  'control-read',
  'subject-spoiled',
  'identity-confirmed',
];

const FEW = 6;

/** Everything that happened in the run, last first, with what was withdrawn struck out. */
export function Log({ run }: { run: Standing }) {
  const { format, may } = useSession();
  const tell = useTelling(run);
  const record = useRecord();
  const [mending, setMending] = useState<RunEvent | null>(null);
  const [all, setAll] = useState(false);
  const newest = [...run.view.events].reverse();
  const shown = all ? newest : newest.slice(0, FEW);
  const effective = new Map(effectiveEvents(run.view.events).map((event) => [event.id, event]));
  return (
    <>
      <ol className="log">
        {shown.map((event) => {
          const now = effective.get(event.id);
          const gone = event.kind !== 'corrected' && !now;
          const unsent = run.unsent.has(event.id);
          return (
            <li key={event.id} className={gone ? 'log-gone' : undefined}>
              <p>
                <span className="figures">{format.clock((now ?? event).stamp.at)}</span> {tell(event)}
                <span className="small">
                  {' '}
                  {run.view.people[event.personId]}
                  {gone && ` · ${words.undone}`}
                  {(now ?? event).stamp.late && ` · ${words.late}`}
                  {event.stamp.pass && ` · ${words.underPass}`}
                  {unsent && ` · ${words.unsent}`}
                </span>
              </p>
              {now && !unsent && may('technician', 'releaser') && MENDABLE.includes(event.kind) && (
                <div className="line-ways">
                  <Button
                    look="quiet"
                    onPress={() =>
                      record(run.id, 'corrected', { event: event.id, withdrawn: true, reason: words.undoReason })
                    }
                  >
                    {words.undo}
                  </Button>
                  <Button look="quiet" onPress={() => setMending(event)}>
                    {words.correct}
                  </Button>
                </div>
              )}
            </li>
          );
        })}
      </ol>
      {shown.length < newest.length && (
        <Button look="quiet" onPress={() => setAll(true)}>
          {words.all(newest.length)}
        </Button>
      )}
      {mending && (
        <TimeSheet
          what={tell(mending)}
          at={mending.stamp.at}
          onTime={(time) => record(run.id, 'corrected', { event: mending.id, ...time })}
          onClose={() => setMending(null)}
        />
      )}
    </>
  );
}

/** An event in a few words. */
function useTelling(run: Standing): (event: RunEvent) => string {
  const { name } = useCatalogue();
  const step = (id: string): string => {
    const found = run.state.steps.find((each) => each.step.id === id);
    return found ? stepName(found.step) : id;
  };
  const subject = (id: string): string =>
    shortLabel(run.subjects.find(({ subjectId }) => subjectId === id)?.label ?? id);
  const bottle = (id: string): string => shortLabel(run.view.containers.find((each) => each.id === id)?.label ?? '');
  return (event) => {
    const kind = words.kinds[event.kind];
    switch (event.kind) {
      case 'tray-scanned':
        return `${name(event.data.reagent)} ${bottle(event.data.container)} ${kind}`;
      case 'step-started':
      case 'step-ended':
        return `${step(event.data.step)} ${kind}`;
      case 'temperature-read':
        return `${step(event.data.step)}: ${kind}, ${event.data.value} ${event.data.unit}`;
      case 'noted':
        return `${kind}: ${event.data.text}`;
      case 'device-lost':
        return `${kind}: ${event.data.device}, ${event.data.reason}`;
      case 'abandoned':
      case 'corrected':
      case 'resolved':
        return `${kind}: ${event.data.reason}`;
      case 'subject-spoiled':
        return `${subject(event.data.subject)} ${kind}: ${event.data.what}`;
      case 'control-read':
        return `${subject(event.data.control)} ${kind}: ${event.data.observed}`;
      case 'identity-confirmed':
        return `${subject(event.data.subject)} ${kind}`;
      case 'answered':
        return `${kind}, ${event.data.listener}`;
      case 'acknowledged':
      case 'attested':
      case 'supervised':
      case 'device-settled':
      case 'cleared':
        return kind;
    }
  };
}
