import { useEffect, useRef } from 'react';
import { dipAt } from '../../core/run/dips.js';
import { momentsBetween, type NextAction, passedMs } from '../../core/run/next.js';
import { announce } from '../parts/announce.js';
import { spanText } from '../parts/format.js';
import { sound } from '../parts/sound.js';
import { beatNow, onBeat } from '../parts/ticker.js';
import { BENCH, stepName } from './words.js';

/** Sounds, vibrates and announces each moment of every action once, when it comes and not every second. */
export function useMoments(actions: readonly NextAction[]): void {
  const latest = useRef(actions);
  useEffect(() => {
    latest.current = actions;
  }, [actions]);
  useEffect(() => {
    const seen = new Map<string, number>();
    return onBeat(() => {
      const now = beatNow();
      for (const action of latest.current) {
        const { since, step, maxMs } = action;
        if (since === null || step === null) continue;
        const key = `${action.runId} ${action.kind} ${step.id} ${since.at}`;
        const passed = passedMs(since, now);
        // What was over before the page looked is in sight and need not sound.
        const moments = momentsBetween(action, seen.get(key) ?? passed, passed);
        if (action.kind === 'end' && dipAt(step, passed) !== dipAt(step, seen.get(key) ?? passed)) sound('dip');
        seen.set(key, passed);
        // After a pause several may have come; only the last still matters.
        const last = moments.at(-1);
        if (last === undefined) continue;
        sound(last);
        announce(BENCH.moments[last](stepName(step), spanText(Math.max((maxMs ?? passed) - passed, 0))));
      }
    });
  }, []);
}
