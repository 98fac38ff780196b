import { anneal } from './anneal.js';
import { buildByBeam } from './beam.js';
import { flowOf, type Flow } from './flow.js';
import { improve } from './improve.js';
import { insertInOrder } from './insertion.js';
import { modelOf, orderOfTwins, type Model } from './model.js';
import { negotiate, placementsFor } from './negotiate.js';
import { Network } from './network.js';
import { allOrders, firstOrders, otherOrder } from './orders.js';
import type { PlanProblem, PlanRun } from './problem.js';
import { provenBound, search, type Found } from './search.js';
import { sequence } from './sequence.js';
import { exclusivePairs, leastValue, tighten, type Aim } from './tighten.js';

/** What was found for one aim. */
export interface Solved {
  /** Starts by run, and what they make of the aim. */
  best: { value: number; starts: number[][] } | null;
  /** No schedule makes less of the aim. */
  bound: number;
  /** There is nothing better than `best`; without a best, nothing at all. */
  proven: boolean;
}

/** Above this many moments a network of all pairs costs more than it brings. */
const NETWORK_MOMENTS = 600;
/** Above this many moments a beam takes too long to be of use at once. */
const BEAM_MOMENTS = 3000;
/** Width of the first beams, which are to find any schedule, and of those after them. */
const WIDTHS = { first: 10, then: 30 };
/** A wider beam over more moments takes too long to come to an end at all. */
const WIDTH_BY_MOMENTS = 2e6;
/** How many tries of improvement a first round has, by how many moments. */
const IMPROVE_TRIES = 3600;
/** How many moments a first round puts into place in other orders. */
const ANNEALED_MOMENTS = 4e6;
/** How many times a round takes what follows some beginning of the best schedule anew. */
const REBUILT = 2;
/** A wait that leaves less than this part of its least is short. */
const SHORT = 0.15;
/** How many seconds of rows a negotiation may fill for each limit at first; a round that finds something doubles it. */
const NEGOTIATED_CELLS = 8e6;
/** Where hands would be busy for more than this part of the time, runs are too crowded to find their places whole. */
const MOST_BUSY = 0.85;
/** A negotiation that cannot place each run so often is not worth its beginning; one that did so often leads nowhere. */
const LEAST_TURNS = 10;
const MOST_TURNS = 100;
/** After how many limits that were not kept a round goes on with something else. */
const FAILURES = 2;
/** Where between the bound and the best so far the first limit lies. */
const FIRST_SHARE = 1 / 3;
/** Nobody knows which way of looking ahead suits a problem, so that each beam draws its own. */
const AHEAD = [60, 200];
const FADES = [0.95, 0.98, 0.995];
const LEAST_CAUTION = 2;
const MOST_CAUTION = 100;

/**
 * The least value of an aim over all schedules of a problem, as far as `mayGoOn` (asked before each piece of work of
 * about a millisecond) lets it: schedules by insertion first, then rounds, each twice as long as the one before, of
 * exact search, schedules by beam, annealing and negotiation, and improvement. `known` are starts by run that are a
 * schedule already.
 */
export function solve(
  problem: PlanProblem,
  aimOf: (model: Model) => Aim,
  known: number[][] | null,
  mayGoOn: () => boolean,
): Solved {
  const attempt = new Attempt(problem, aimOf, mayGoOn);
  attempt.consider(known);
  if (!attempt.isPossible()) return attempt.outcome(true);
  attempt.insert(firstOrders(problem));
  attempt.raiseBound();
  attempt.insert(allOrders(problem));
  const short = hasShortWindows(problem);
  for (let round = 0; !attempt.isSettled() && mayGoOn(); round++) {
    const effort = 2 ** round;
    if (attempt.search(effort)) return attempt.outcome(true);
    if (short) attempt.negotiate();
    attempt.build(round);
    attempt.anneal(effort);
    if (!short) attempt.negotiate();
    attempt.improve(effort);
    attempt.reorder(effort);
  }
  return attempt.outcome(attempt.isSettled());
}

/** Whether most waits leave so little room that schedules built step by step come to dead ends, and runs are better moved whole. */
function hasShortWindows({ runs }: PlanProblem): boolean {
  const waits = runs.flatMap(({ steps }) => steps.slice(0, -1));
  const short = waits.filter(({ minSec, maxSec }) => maxSec !== null && maxSec < (1 + SHORT) * minSec);
  return 2 * short.length > waits.length;
}

/** Whether a problem has a schedule at all, as far as `nodes` of search can tell. */
export function possibility(problem: PlanProblem, nodes: number): 'possible' | 'impossible' | 'unknown' {
  let left = nodes;
  const attempt = new Attempt(problem, endOfRuns(problem.runs), () => left-- > 0);
  if (!attempt.isPossible()) return 'impossible';
  attempt.insert(firstOrders(problem));
  if (attempt.outcome(false).best) return 'possible';
  const exhausted = attempt.search(Number.POSITIVE_INFINITY);
  if (attempt.outcome(false).best) return 'possible';
  return exhausted ? 'impossible' : 'unknown';
}

/** A bound on an aim that needs no search. */
export function quickBound(problem: PlanProblem, aimOf: (model: Model) => Aim): number {
  const attempt = new Attempt(problem, aimOf, () => false);
  if (attempt.isPossible()) attempt.raiseBound();
  return attempt.outcome(false).bound;
}

/** The end of the last of some runs. */
export function endOfRuns(runs: PlanRun[]): (model: Model) => Aim {
  return ({ moments, handsOn, runIds }) => ({
    terms: runs.flatMap(({ id }) => {
      const moment = moments[runIds.indexOf(id)]?.at(-1);
      return moment === undefined ? [] : [{ moment, lag: handsOn[moment] ?? 0 }];
    }),
  });
}

class Attempt {
  private readonly model: Model;
  private readonly aim: Aim;
  private readonly flow: Flow;
  private readonly network: Network | null;
  private readonly draw = sequence(1);
  private best: Found | null = null;
  private order: number[];
  private bound = 0;
  /** Where between the bound and the best the next limit of a negotiation lies; how many times as long as at first it may last. */
  private share = FIRST_SHARE;
  private talk = 1;

  constructor(
    private readonly problem: PlanProblem,
    aimOf: (model: Model) => Aim,
    private readonly mayGoOn: () => boolean,
  ) {
    this.model = modelOf(problem);
    this.aim = aimOf(this.model);
    this.flow = flowOf(problem, this.model, this.aim);
    this.network = this.model.size <= NETWORK_MOMENTS ? new Network(this.model.size) : null;
    this.order = firstOrders(problem)[0] ?? [];
  }

  /** Whether the demands and the orders that they force leave anything; a contradiction proves that there is no plan. */
  isPossible(): boolean {
    const { network, model, aim } = this;
    if (!network) return true;
    const inOrder = Array.from({ length: model.size - 1 }, (_, k) => k + 1);
    if (!network.fill([...model.demands, ...orderOfTwins(model)], inOrder)) return false;
    this.bound = leastValue(network, aim);
    return tighten(network, model, exclusivePairs(model), aim, this.limit()) !== null;
  }

  consider(byRun: number[][] | null): void {
    if (!byRun) return;
    const starts = Array.from({ length: this.model.size }, () => 0);
    this.model.moments.forEach((moments, r) => moments.forEach((m, k) => (starts[m] = byRun[r]?.[k] ?? 0)));
    this.considerMoments(starts);
  }

  private considerMoments(starts: number[]): void {
    const value = this.aim.terms.reduce((most, { moment, lag }) => Math.max(most, (starts[moment] ?? 0) + lag), 0);
    if (!this.best || value < this.best.value) this.best = { value, starts: this.twinsInOrder(starts) };
  }

  insert(orders: Iterable<number[]>): void {
    for (const order of orders) {
      if (this.isSettled() || (this.best && !this.mayGoOn())) return;
      this.tryOrder(order);
    }
  }

  private tryOrder(order: number[]): void {
    const before = this.best;
    this.consider(insertInOrder(this.problem, order, this.model.horizonSec));
    if (this.best !== before) this.order = order;
  }

  raiseBound(): void {
    const { network, model, aim } = this;
    if (network) this.bound = provenBound(network, model, aim, this.bound, this.best?.value ?? model.horizonSec);
    else this.bound = boundWithoutNetwork(this.problem, model, aim);
  }

  /** Schedules that keep a limit: nearer to the bound while they are found, to the best so far while they are not. */
  negotiate(): void {
    const { flow, model, problem, draw, mayGoOn } = this;
    const before = this.best;
    for (let failures = 0; failures < FAILURES && !this.isSettled() && mayGoOn();) {
      const limit = Math.ceil(this.bound + (this.limit() - this.bound) * this.share);
      const turns = placementsFor(flow, limit, NEGOTIATED_CELLS * this.talk) / problem.runs.length;
      const room = MOST_BUSY * problem.hands.length * (limit - (problem.nowSec ?? 0));
      if (flow.work > room || turns < LEAST_TURNS) break;
      const placements = Math.min(turns, MOST_TURNS * this.talk) * problem.runs.length;
      const starts = negotiate(flow, model, limit, placements, draw, mayGoOn);
      if (starts) this.considerMoments(starts);
      else failures++;
      this.share = starts ? (2 * this.share) / 3 : (this.share + 1) / 2;
    }
    this.talk *= this.best === before ? 0.5 : 2;
  }

  /** Schedules by beam: one from nothing, then some that follow the best so far up to a moment that is drawn. */
  build(round: number): void {
    const { model, draw } = this;
    if (model.size > BEAM_MOMENTS) return;
    this.beam(round === 0 ? WIDTHS.first : WIDTHS.then, []);
    for (let k = 0; k < REBUILT && this.best; k++) {
      const order = this.orderOfBest();
      this.beam(WIDTHS.then, order.slice(0, draw(order.length)));
    }
  }

  private beam(widest: number, first: number[]): void {
    const { flow, model, draw, mayGoOn } = this;
    if (this.isSettled() || !mayGoOn()) return;
    const width = Math.ceil(Math.min(widest, WIDTH_BY_MOMENTS / model.size ** 2));
    const caution = LEAST_CAUTION * (MOST_CAUTION / LEAST_CAUTION) ** (draw(100) / 100);
    const beam = { width, caution, ahead: oneOf(AHEAD, draw), fade: oneOf(FADES, draw) };
    const starts = buildByBeam(flow, beam, this.limit() + 1, mayGoOn, first);
    if (starts) this.considerMoments(starts);
  }

  /** What has not begun, in the order in which hands come to it in the best schedule. */
  private orderOfBest(): number[] {
    const { best, model, flow } = this;
    const there = new Set(flow.begun.map(({ moment }) => moment));
    return Array.from({ length: model.size - 1 }, (_, k) => k + 1)
      .filter((moment) => !there.has(moment))
      .sort((a, b) => (best?.starts[a] ?? 0) - (best?.starts[b] ?? 0) || a - b);
  }

  /** True when nothing was left out. */
  search(effort: number): boolean {
    const { network, model, aim, mayGoOn } = this;
    if (!network || this.isSettled()) return false;
    let nodes = Math.ceil(1.2e8 / model.size ** 3) * effort;
    const { best, exhausted } = search(
      network,
      model,
      exclusivePairs(model),
      aim,
      this.limit(),
      this.bound,
      () => nodes-- > 0 && mayGoOn(),
    );
    if (best) this.best = best;
    return exhausted;
  }

  /** Better orders of what hands do. */
  anneal(effort: number): void {
    const { flow, model, best, bound, draw, mayGoOn } = this;
    if (best)
      this.considerMoments(anneal(flow, best.starts, bound, (ANNEALED_MOMENTS / model.size) * effort, draw, mayGoOn));
  }

  improve(effort: number): void {
    const { network, model, aim, best, bound, draw, mayGoOn } = this;
    if (network && best)
      this.best = improve(
        model,
        aim,
        best,
        bound,
        Math.ceil(Math.min(model.size / 5, IMPROVE_TRIES / model.size)) * effort,
        draw,
        mayGoOn,
      );
  }

  reorder(effort: number): void {
    for (let k = 0; k < 5 * effort && !this.isSettled() && this.mayGoOn(); k++) {
      this.tryOrder(otherOrder(this.problem, this.order, this.draw));
    }
  }

  isSettled(): boolean {
    return this.best !== null && this.best.value <= this.bound;
  }

  outcome(proven: boolean): Solved {
    const { best, bound, model } = this;
    if (!best) return { best, bound, proven };
    const starts = model.moments.map((moments) => moments.map((m) => best.starts[m] ?? 0));
    return { best: { value: best.value, starts }, bound: proven ? best.value : bound, proven };
  }

  /** The highest value that is still of use. */
  private limit(): number {
    return this.best ? this.best.value - 1 : this.model.horizonSec;
  }

  /** Swaps the rests of runs that do not differ until none overtakes another, as the network demands. */
  private twinsInOrder(starts: number[]): number[] {
    const { moments, twins } = this.model;
    const ordered = starts.slice();
    for (const runs of twins) {
      moments[runs[0] ?? 0]?.forEach((_, step) => {
        const same = runs.map((r) => moments[r]?.[step] ?? 0);
        const seconds = same.map((moment) => starts[moment] ?? 0).sort((a, b) => a - b);
        same.forEach((moment, k) => (ordered[moment] = seconds[k] ?? 0));
      });
    }
    return ordered;
  }
}

/** The longest single run, and all hands-on work shared among all hands. */
function boundWithoutNetwork({ runs, hands, nowSec }: PlanProblem, model: Model, aim: Aim): number {
  let [bound, work, earliest] = [0, 0, Number.POSITIVE_INFINITY];
  runs.forEach(({ steps, earliestSec, begunSec }, r) => {
    let sec = Math.max(earliestSec ?? 0, nowSec ?? 0);
    steps.forEach(({ handsOnSec }, k) => {
      const before = steps[k - 1];
      const at = begunSec?.[k];
      sec = at ?? Math.max(sec + (k > 0 ? (before?.minSec ?? 0) : 0), nowSec ?? 0);
      if (at === undefined) {
        work += handsOnSec;
        earliest = Math.min(earliest, sec);
      }
      const term = aim.terms.find(({ moment }) => moment === model.moments[r]?.[k]);
      if (term) bound = Math.max(bound, sec + term.lag);
    });
  });
  const everything = aim.terms.length === runs.length;
  return everything && work > 0 ? Math.max(bound, earliest + Math.ceil(work / hands.length)) : bound;
}

function oneOf(values: number[], draw: (below: number) => number): number {
  return values[draw(values.length)] ?? 0;
}
