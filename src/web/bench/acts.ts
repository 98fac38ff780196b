import type { BenchStamp, RunEventData } from '../../core/run/events.js';
import { useSession } from '../app/session.js';
import type { BenchEventKind, NewRunEvent } from '../api.paths.js';
import { outbox } from '../offline/outbox.js';
import { newId } from '../parts/ids.js';
import { say, sayProblem } from '../parts/notices.js';
import { benchClock } from '../parts/ticker.js';
import { BENCH } from './words.js';

export type Record = <K extends BenchEventKind>(
  runId: string,
  kind: K,
  data: RunEventData[K],
  how?: {
    /** When it happened; now when absent. */
    stamp?: BenchStamp;
    /** Said once the server has it, with a way to undo it. */
    said?: string;
  },
) => void;

/**
 * Records what happens in a run: it is kept on the device, shows at once, is sent in order until the server has it, and
 * can be undone by a correction.
 */
export function useRecord(): Record {
  const { person } = useSession();

  function enter(runId: string, event: NewRunEvent, said?: string): void {
    const key = newId();
    if (said !== undefined) {
      const unhear = outbox.whenSent((sent, sentKey) => {
        if (sentKey !== key) return;
        unhear();
        say(said, { word: BENCH.log.undo, run: () => undo(runId, sent.id) });
      });
    }
    outbox.add({ key, runId, event, by: { personId: person.id, name: person.name } }).catch(sayProblem);
  }

  function undo(runId: string, event: string): void {
    const data = { event, withdrawn: true, reason: BENCH.log.undoReason } as const;
    enter(runId, { kind: 'corrected', data, stamp: benchClock.now() });
  }

  return (runId, kind, data, { stamp = benchClock.now(), said } = {}) => enter(runId, { kind, data, stamp }, said);
}
