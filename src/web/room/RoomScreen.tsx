import { leftMs, type StepTime } from '../../core/run/next.js';
import type { Stamp } from '../../core/time/duration.js';
import type { ScreenProps } from '../app/screen.js';
import { useBench } from '../bench/bench.js';
import { useBeat } from '../parts/ticker.js';
import './room.css';

/** All that this screen can say; a patient who is awake reads it. */
const ROOM = {
  under: 'In progress',
  minutes: (least: number, most: number) =>
    least === most ? (least === 1 ? 'about 1 minute' : `about ${least} minutes`) : `about ${least} to ${most} minutes`,
  nearly: 'nearly done',
  rest: 'At rest',
} as const;

const MINUTE_MS = 60_000;

/** The screen for the room where the patient is awake: that work goes on and for how long, and nothing else. */
export default function RoomScreen({ station }: ScreenProps) {
  const { runs } = useBench();
  const here = runs?.filter(({ view, state }) => view.station === station && !state.abandoned) ?? [];
  const working = here.filter(({ state }) => state.running.length > 0 || state.next !== null);
  const left = (which: StepTime, now: Stamp): number =>
    Math.ceil(Math.max(0, ...working.map(({ state }) => leftMs(state, now, which))) / MINUTE_MS);
  const least = useBeat((now) => left('least', now));
  const most = useBeat((now) => left('most', now));
  // Nothing is said before it is known.
  if (!runs) return <main className="room" />;
  return (
    <main className="room">
      <h1 className="room-state">{working.length > 0 ? ROOM.under : ROOM.rest}</h1>
      {working.length > 0 && (
        <p className="room-left">{most > 0 ? ROOM.minutes(Math.max(least, 1), most) : ROOM.nearly}</p>
      )}
    </main>
  );
}
