import { afterBlocked, type Beginning, endOf } from './beginning.js';
import { type Flow, NOTHING } from './flow.js';

/** How far and how warily a beginning of a schedule is looked ahead. */
export interface LookAhead {
  /** How many hands-on moments a beginning is looked ahead. */
  ahead: number;
  /** How much a second of expected lateness weighs against a second of the aim. */
  caution: number;
  /** How much each moment further ahead counts of the one before it, from 0 to 1. */
  fade: number;
}

/** What a beginning of a schedule may still come to. */
export class Outlook {
  /** Of each run under way: its next moment, from when it can be and until when it is due. */
  private readonly nextMoment: Int32Array;
  private readonly nextFrom: Float64Array;
  private readonly nextDue: Float64Array;

  constructor(
    private readonly flow: Flow,
    private readonly lookAhead: LookAhead,
  ) {
    this.nextMoment = new Int32Array(flow.runs.length);
    this.nextFrom = new Float64Array(flow.runs.length);
    this.nextDue = new Float64Array(flow.runs.length);
  }

  /**
   * What the aim can still become after the step, and how late the steps of the runs under way would be if hands always
   * went to what can start first: starting too much too early shows here.
   */
  of(beginning: Beginning, moment: number, person: number, below: number): number {
    const { runs, before, after, earliest, latest, least, most, goal, toGoal, handsOn, runOf, blocked } = this.flow;
    const { starts, count, last, workLeft } = beginning;
    const free: number[] = [];
    let [sum, soonest] = [workLeft - (handsOn[moment] as number), Number.POSITIVE_INFINITY];
    for (let p = 0; p < last.length; p++) {
      const doing = p === person ? moment : (last[p] as number);
      const sec = doing === NOTHING ? 0 : endOf(this.flow, beginning, doing);
      free.push(sec);
      sum += sec;
      soonest = Math.min(soonest, sec);
    }
    let value = this.flow.aimIsEverything ? sum / last.length : 0;
    const { nextMoment, nextFrom, nextDue } = this;
    let under = 0;
    for (let r = 0; r < runs.length; r++) {
      const there = (count[r] as number) + (r === runOf[moment] ? 1 : 0);
      const moments = runs[r] as number[];
      const m = moments[there];
      const g = goal[r] as number;
      if (g !== NOTHING && (starts[g] as number) !== NOTHING) {
        value = Math.max(value, (starts[g] as number) + (toGoal[g] as number));
      }
      if (m === undefined) continue;
      const b = before[m] as number;
      const from = Math.max(
        handsOn[m] === 0 ? 0 : soonest,
        earliest[m] as number,
        b === NOTHING ? 0 : (starts[b] as number) + (least[b] as number),
      );
      if (from > (latest[m] as number)) return Number.POSITIVE_INFINITY;
      if (g !== NOTHING && (starts[g] as number) === NOTHING) value = Math.max(value, from + (toGoal[m] as number));
      if (there === 0) continue;
      nextMoment[under] = m;
      nextFrom[under] = from;
      nextDue[under] = (starts[b] as number) + (most[b] as number);
      under++;
    }
    const { ahead, caution, fade } = this.lookAhead;
    let late = 0;
    let weight = 1;
    for (let k = 0; k < ahead && under > 0 && value + caution * late < below; k++) {
      let who = 0;
      for (let p = 1; p < free.length; p++) if ((free[p] as number) < (free[who] as number)) who = p;
      const ready = free[who] ?? 0;
      let which = 0;
      let at = Number.POSITIVE_INFINITY;
      for (let i = 0; i < under; i++) {
        const from = nextFrom[i] as number;
        const sec = from > ready ? from : ready;
        if (sec < at || (sec === at && (nextDue[i] as number) < (nextDue[which] as number))) {
          which = i;
          at = sec;
        }
      }
      const m = nextMoment[which] as number;
      const length = handsOn[m] as number;
      const sec = length > 0 ? afterBlocked(blocked[who] ?? [], at, length) : (nextFrom[which] as number);
      if (sec > (nextDue[which] as number)) late += (sec - (nextDue[which] as number)) * weight;
      weight *= fade;
      if (length > 0) free[who] = sec + length;
      const then = after[m] as number;
      if (then === NOTHING) {
        under--;
        nextMoment[which] = nextMoment[under] as number;
        nextFrom[which] = nextFrom[under] as number;
        nextDue[which] = nextDue[under] as number;
      } else {
        nextMoment[which] = then;
        nextFrom[which] = sec + (least[m] as number);
        nextDue[which] = sec + (most[m] as number);
      }
    }
    return value + caution * late;
  }
}
