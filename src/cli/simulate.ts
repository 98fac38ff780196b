import { Refusal } from '../core/refusal.js';
import type { Spread } from '../core/stock/demand.js';
import { leadOf, termsOf } from '../core/stock/outlook.js';
import { type OutlookFacts, USUAL_POLICY } from '../core/stock/outlook-facts.js';
import { type OrderTerms, reorderLevels, safetyFactor } from '../core/stock/reorder.js';
import { type Replay, replayPolicy } from '../core/stock/replay.js';
import { usageOf } from '../core/stock/usage.js';
import { localDay } from '../core/time/zone.js';
import { needLaboratory } from '../store/questions/laboratories.js';
import { outlookFacts } from '../store/questions/outlook.js';
import { laboratoryIds } from '../store/questions/verify.js';
import { withStore } from './open.js';

const YEAR_DAYS = 365;

export interface Simulation {
  /** Reagent whose ledger of the last year is replayed. */
  reagent?: string;
  database?: string;
  /** Else demand of each day, normal and cut at 0. */
  mean: string;
  sd: string;
  leadDays: string;
  leadSdDays: string;
  serviceLevel: string;
  coverDays: string;
  packSize: string;
  minimumOrder: string;
  shelfLifeDays?: string;
  years: string;
  seed: string;
}

/** What is replayed: what was or may be used, and the policy under which it is bought. */
interface Case {
  demand: number[];
  perDay: Spread;
  lead: Spread;
  terms: OrderTerms;
  serviceLevel: number;
  coverDays: number;
  reviewDays: number;
}

/** Replays a year, or several, under the reorder policy and tells service level, stock-outs and waste. */
export async function simulate(options: Simulation): Promise<void> {
  const draw = uniform(numberOf('seed', options.seed));
  const played = options.reagent === undefined ? invented(options, draw) : await fromLedger(options);
  const { demand, perDay, lead, terms, serviceLevel, coverDays, reviewDays } = played;
  const usage = { demandPerDay: perDay, leadTimeDays: lead };
  const levels = reorderLevels({ ...usage, coverDays, serviceLevel, reviewDays });
  const found = replayPolicy({ levels, usage, terms, onHand: levels.orderUpTo }, demand, () =>
    Math.max(0, Math.round(lead.mean + lead.sd * safetyFactor(draw()))),
  );
  for (const line of told(found, played, levels)) process.stdout.write(`${line}\n`);
}

/** Stationary demand by the quantile of uniform numbers. */
function invented(options: Simulation, draw: () => number): Case {
  const number = (name: keyof Simulation): number => numberOf(name, options[name] ?? '');
  const perDay = { mean: number('mean'), sd: number('sd') };
  const years = number('years');
  if (!(Number.isInteger(years) && years >= 1 && years <= 1000))
    throw refused('years', options.years, 'a whole number from 1 to 1000');
  return {
    demand: Array.from({ length: YEAR_DAYS * years }, () =>
      Math.max(0, perDay.mean + perDay.sd * safetyFactor(draw())),
    ),
    perDay,
    lead: { mean: number('leadDays'), sd: number('leadSdDays') },
    terms: {
      packSize: number('packSize'),
      minimumOrder: number('minimumOrder'),
      shelfLifeDaysOnArrival: options.shelfLifeDays === undefined ? null : number('shelfLifeDays'),
    },
    serviceLevel: number('serviceLevel'),
    coverDays: number('coverDays'),
    reviewDays: USUAL_POLICY.reviewDays,
  };
}

/** What the ledger says was used in the last year, under the reagent's own policy. */
function fromLedger({ reagent = '', database }: Simulation): Promise<Case> {
  return withStore(database, async (store) => {
    for (const id of await store.read('', laboratoryIds)) {
      const facts = await store.read(id, async (view): Promise<OutlookFacts | null> => {
        const { zone } = await needLaboratory(view);
        const today = localDay(new Date().toISOString(), zone);
        for await (const known of outlookFacts(view, today, zone, reagent)) return known.facts;
        return null;
      });
      if (!facts || facts.history.length === 0) continue;
      const { serviceLevel, coverDays, reviewDays } = facts.policy;
      return {
        demand: facts.history.slice(-YEAR_DAYS),
        perDay: usageOf(facts.history, facts.policy).perDay,
        lead: leadOf(facts),
        terms: termsOf(facts),
        serviceLevel,
        coverDays,
        reviewDays,
      };
    }
    throw new Error(`The ledger holds no use of "${reagent}"; give --mean and --sd to replay an invented demand.`);
  });
}

function told(
  found: Replay,
  { demand, serviceLevel }: Case,
  { safetyStock, reorderPoint, orderUpTo }: Levels,
): string[] {
  const share = (value: number | null): string => (value === null ? 'none arrived' : `${(value * 100).toFixed(2)} %`);
  const lines: [string, string][] = [
    ['days replayed', `${demand.length}`],
    ['safety stock', safetyStock.toFixed(2)],
    ['reorder point', reorderPoint.toFixed(2)],
    ['order up to', orderUpTo.toFixed(2)],
    ['orders', `${found.orders}`],
    ['service level aimed at', share(serviceLevel)],
    ['orders that came in time', share(found.cycleService)],
    ['share of demand met', found.fillRate === null ? 'no demand' : share(found.fillRate)],
    ['days short', `${found.daysShort}`],
    ['waste', found.waste.toFixed(2)],
  ];
  return lines.map(([name, value]) => `${name.padEnd(26)}${value}`);
}

type Levels = ReturnType<typeof reorderLevels>;

/** Uniform numbers by a linear congruential generator (Numerical Recipes, from memory), so that a seed repeats a replay. */
function uniform(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state + 0.5) / 2 ** 32;
  };
}

function numberOf(name: string, text: string): number {
  const value = Number(text);
  if (text.trim() === '' || !Number.isFinite(value) || value < 0) throw refused(name, text, 'a number of at least 0');
  return value;
}

function refused(name: string, text: string, right: string): Refusal {
  return new Refusal('invalid', 'bad-option', `${name} is "${text}"; give ${right}`);
}
