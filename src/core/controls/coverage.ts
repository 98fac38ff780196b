import type { Reagent } from '../protocol/protocol.js';
import { daysBetween } from '../time/days.js';
import { epochMs, type Instant } from '../time/instant.js';
import type { ControlPlan, PlannedClock, PlannedControl, PlanTime } from './planned.js';

/** Something that was stained together: when, where, on which revision, with which lots; days by the laboratory's zone. */
export interface Stained {
  runId: string | null;
  revisionId: string | null;
  station: string | null;
  /** Start of the run. */
  at: Instant;
  day: string;
  week: string;
  month: string;
  /** Lot of each reagent by its code. */
  lots: Record<string, string>;
  /** Keys of its patients; given only where a patient is one use. */
  patients?: string[];
}

/** One use of a protocol for patients. */
export interface Use extends Stained {
  runId: string;
  /** How many patients' slides or specimens. */
  slides: number;
  /** Reagents that stain, whose every lot and shipment is checked, with the number printed on the lot in use. */
  stains: { reagent: string; number: string }[];
  /** Since when everything that stains was new; null when nobody said what was used. */
  newSince: Instant | null;
  /** The last service of an instrument of its station before it; null when there was none. */
  servicedAt: Instant | null;
}

/** What a control showed. */
export interface CoveringResult extends Stained {
  id: string;
  requirement: string;
  /** When it was read. */
  readAt: Instant;
  passed: boolean;
}

/** What the clocks of a protocol's plan are judged by. */
export interface CoverageFacts {
  use: ControlPlan['use'];
  results: ResultIndex;
  /** Uses of the protocol for the clock that counts slides, earliest first. */
  uses: readonly Pick<Use, 'runId' | 'at' | 'slides'>[];
}

/** Results by where they are looked for, each list in the order in which they were stained and read. */
export interface ResultIndex {
  ofRequirement: ReadonlyMap<string, readonly CoveringResult[]>;
  /** By requirement and run, day, week or month. */
  at: ReadonlyMap<string, readonly CoveringResult[]>;
}

export function indexOf(results: readonly CoveringResult[]): ResultIndex {
  const ofRequirement = new Map<string, CoveringResult[]>();
  const at = new Map<string, CoveringResult[]>();
  const put = (map: Map<string, CoveringResult[]>, key: string, result: CoveringResult): void => {
    const list = map.get(key);
    if (list) list.push(result);
    else map.set(key, [result]);
  };
  for (const result of [...results].sort(byTime)) {
    const { requirement, runId, day, week, month } = result;
    put(ofRequirement, requirement, result);
    for (const place of [runId, day, week, month]) if (place !== null) put(at, `${requirement} ${place}`, result);
  }
  return { ofRequirement, at };
}

function byTime(a: CoveringResult, b: CoveringResult): number {
  return a.at < b.at || (a.at === b.at && a.readAt < b.readAt) ? -1 : 1;
}

/** Whether one clock of a control is met for one use, by what, and if not, what comes nearest. */
export interface Coverage {
  clock: PlannedClock;
  /** The reagent whose lot is looked at; null for the other clocks. */
  reagent: string | null;
  state: 'met' | 'failed' | 'unmet';
  /** The result that meets it, or that failed in its place. */
  by: CoveringResult | null;
  /** The last passing result with the same revision and lots that does not reach; null when there is none. */
  nearest: CoveringResult | null;
}

/**
 * Whether each clock of a control is met for one use, each judged by itself (42 CFR 493.1256(d)(6), (e)(1) to (e)(3),
 * 493.1261, 493.1264, 493.1273(a)). A control stained in the same run meets them all. Otherwise a passing control covers
 * only its own revision and lots, and reaches only so far as the clock lets it: the use, the day, week or month, the lot,
 * the last change or service, so many slides or days. Of several that reach, the last one counts. The clock for lots
 * answers once for each reagent that stains.
 */
export function coverageOf(control: PlannedControl, use: Use, facts: CoverageFacts): Coverage[] {
  const { results } = facts;
  const nearestOf = ({ clock, state }: ClockCoverage): CoveringResult | null => {
    const own = results.at.has(`${control.id} ${use.runId}`);
    if (state === 'met' || own || clock.when === 'each new lot or shipment') return null;
    const all = results.ofRequirement.get(control.id) ?? [];
    return all.findLast((each) => each.passed && sameStain(each, use)) ?? null;
  };
  return control.clocks
    .flatMap((clock) => clockCoverage(control.id, clock, use, facts))
    .map((each) => ({ ...each, nearest: nearestOf(each) }));
}

type ClockCoverage = Omit<Coverage, 'nearest'>;

/** The same for one clock of the control, without what comes nearest. */
export function clockCoverage(
  requirement: string,
  clock: PlannedClock,
  use: Use,
  facts: CoverageFacts,
): ClockCoverage[] {
  const { results } = facts;
  const own = results.at.get(`${requirement} ${use.runId}`)?.at(-1);
  if (own) return [{ clock, reagent: null, state: own.passed ? 'met' : 'failed', by: own }];
  if (clock.when === 'each new lot or shipment') {
    const all = results.ofRequirement.get(requirement) ?? [];
    return use.stains.map(({ reagent }) => lotCoverage(clock, reagent, use, all));
  }
  if (!ticks(clock, use)) return [{ clock, reagent: null, state: 'met', by: null }];
  const { among, reaches } = REACH[clock.when](requirement, use, facts, clock.n ?? 0);
  const by = among.findLast((result) => reaches(result) && sameStain(result, use)) ?? null;
  return [{ clock, reagent: null, state: by === null ? 'unmet' : by.passed ? 'met' : 'failed', by }];
}

/** A clock that an event starts does not run before it. */
function ticks({ when }: PlannedClock, { newSince, servicedAt }: Use): boolean {
  if (when === 'after a full reagent change') return newSince !== null;
  return when !== 'after service of an instrument' || servicedAt !== null;
}

function lotCoverage(clock: PlannedClock, reagent: string, use: Use, all: readonly CoveringResult[]): ClockCoverage {
  const ofLot = ({ revisionId, lots }: CoveringResult): boolean =>
    revisionId === use.revisionId && lots[reagent] === use.lots[reagent];
  const passing = all.findLast((result) => result.passed && ofLot(result));
  const by = passing ?? all.findLast(ofLot) ?? null;
  return { clock, reagent, state: passing ? 'met' : by ? 'failed' : 'unmet', by };
}

/** Whether a control was stained on the same revision and with every lot that the use stained with. */
function sameStain(result: CoveringResult, use: Use): boolean {
  if (result.revisionId !== use.revisionId) return false;
  for (const reagent in use.lots) if (result.lots[reagent] !== use.lots[reagent]) return false;
  return true;
}

/** Results, in the order of time, and which of them reach a use: of 20,000 uses on a day no list is made for each. */
interface Reaching {
  among: readonly CoveringResult[];
  reaches: (result: CoveringResult) => boolean;
}

type Reach = (requirement: string, use: Use, facts: CoverageFacts, n: number) => Reaching;

const ALL = (): boolean => true;
const NONE: Reaching = { among: [], reaches: ALL };

function of(requirement: string, { results }: CoverageFacts, reaches: Reaching['reaches']): Reaching {
  return { among: results.ofRequirement.get(requirement) ?? [], reaches };
}

const inPeriod =
  (period: 'day' | 'week' | 'month'): Reach =>
  (requirement, use, { results }) => ({ among: results.at.get(`${requirement} ${use[period]}`) ?? [], reaches: ALL });

const since =
  (event: 'newSince' | 'servicedAt'): Reach =>
  (requirement, use, facts) => {
    const from = use[event] ?? '';
    return of(requirement, facts, ({ at }) => at >= from);
  };

/** Results of other runs that reach a use by one clock, whatever they were stained with. */
const REACH: Record<Exclude<PlanTime, 'each new lot or shipment'>, Reach> = {
  'each use': (requirement, use, facts) => {
    const { counts, hours = 0 } = facts.use;
    if (counts === 'run') return NONE;
    if (counts === 'patient') {
      const own = new Set(use.patients);
      return of(
        requirement,
        facts,
        ({ at, day, patients = [] }) => at <= use.at && day === use.day && patients.some((each) => own.has(each)),
      );
    }
    const earliest = epochMs(use.at) - hours * 3_600_000;
    return of(
      requirement,
      facts,
      ({ at, station }) => station === use.station && at <= use.at && epochMs(at) >= earliest,
    );
  },
  // The group is what was stained together.
  'each group of slides': () => NONE,
  'each day of use': inPeriod('day'),
  'each week of use': inPeriod('week'),
  'each month of use': inPeriod('month'),
  'after a full reagent change': since('newSince'),
  'after service of an instrument': since('servicedAt'),
  'every n slides': (requirement, use, facts, n) =>
    of(requirement, facts, ({ at }) => {
      if (at > use.at) return false;
      let slides = 0;
      for (const each of facts.uses) if (each.at >= at && each.at <= use.at) slides += each.slides;
      return slides <= n;
    }),
  'every n days': (requirement, use, facts, n) =>
    of(requirement, facts, ({ day }) => {
      const days = daysBetween(day, use.day);
      return days >= 0 && days < n;
    }),
};

/** Kinds of reagents that stain: each of their lots and shipments is checked when opened (42 CFR 493.1256(e)(1)). */
const STAINING_KINDS: readonly Reagent['kind'][] = ['dye', 'antibody', 'detection', 'solution'];

/** Codes of the reagents that stain among these. */
export function staining(reagents: readonly Pick<Reagent, 'code' | 'kind'>[]): string[] {
  return reagents.filter(({ kind }) => STAINING_KINDS.includes(kind)).map(({ code }) => code);
}

/** A container that was put on the tray for a reagent. */
export interface OnTray {
  reagent: string;
  lotId: string;
  /** As printed on its lot. */
  number: string;
  openedAt: Instant | null;
}

/**
 * What a use stained with, of containers in the order in which they were put on the tray; the last one for a reagent
 * counts. All that stains was new since the oldest of it was opened.
 */
export function usedWith(
  reagents: readonly Pick<Reagent, 'code' | 'kind'>[],
  tray: readonly OnTray[],
): Pick<Use, 'lots' | 'stains' | 'newSince'> {
  const last = new Map(tray.map((each) => [each.reagent, each]));
  const codes = staining(reagents);
  const stains = [...last.values()].filter(({ reagent }) => codes.includes(reagent));
  const opened = stains.flatMap(({ openedAt }) => openedAt ?? []).sort();
  return {
    lots: Object.fromEntries([...last].map(([reagent, { lotId }]) => [reagent, lotId])),
    stains: stains.map(({ reagent, number }) => ({ reagent, number })),
    newSince: opened[0] ?? null,
  };
}
