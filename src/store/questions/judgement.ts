import { judge, type Judgement } from '../../core/gate/judge.js';
import type { Unit } from '../unit.js';
import { type LoadedRun, runFacts } from './runs.js';

/** What the gate says inside of a unit, where nothing can come between the facts and what is decided on them. */
export async function judgeNow(unit: Unit, loaded: LoadedRun): Promise<Judgement> {
  return judge(await runFacts(unit, loaded, unit.seq - 1));
}
