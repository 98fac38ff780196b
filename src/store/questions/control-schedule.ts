import { weekOf } from '../../core/controls/calendar.js';
import { type CoveringResult, type OnTray, staining, type Use, usedWith } from '../../core/controls/coverage.js';
import { type ApprovedPlan, planFor, planInForce } from '../../core/controls/plan.js';
import type { ControlPlan } from '../../core/controls/planned.js';
import type { ControlResult } from '../../core/controls/result.js';
import { type OpenedLot, schedule, type Service, type Window } from '../../core/controls/schedule.js';
import type { ControlTask } from '../../core/controls/task.js';
import { stationAt } from '../../core/instruments/instrument.js';
import { inForce } from '../../core/protocol/lifecycle.js';
import type { Protocol, Reagent } from '../../core/protocol/protocol.js';
import { plusDays } from '../../core/time/days.js';
import type { Instant } from '../../core/time/instant.js';
import { endOfDay, instantOfLocal, localDay } from '../../core/time/zone.js';
import type { View } from '../view.js';
import { asCovering, patientsOf } from './control-coverage.js';
import { approvedPlans, calendarOf, knownPlans } from './control-plans.js';
import { controlResults } from './control-results.js';
import { knownInstruments } from './instruments.js';
import { needLaboratory } from './laboratories.js';
import { catalogue } from './reagents.js';
import { type KnownRevision, knownRevisions } from './revisions.js';
import { grouped } from './grouped.js';

/** So long before a window a result may lie that still answers in it: the longest month and two weeks. */
const REACH_DAYS = 45;
/** Where slides are counted, so far back the control is looked for after which they count. */
const REACH_SLIDES_DAYS = 400;

/** A protocol that may be used, with its plan and its control tasks within a window of local days. */
export interface ProtocolSchedule {
  protocolId: string;
  title: string;
  /** In force at the window's end. */
  plan: ControlPlan;
  tasks: ControlTask[];
  /** Uses for patients within the window, earliest first. */
  uses: Use[];
}

interface InUse {
  protocol: Protocol;
  since: Instant;
  approved: ApprovedPlan[];
}

/** The control tasks of every protocol in force, or of one, with where they stand at `now`, computed from facts. */
export async function controlSchedule(
  view: View,
  window: Window,
  now: Instant,
  protocolId?: string,
): Promise<ProtocolSchedule[]> {
  const { zone } = await needLaboratory(view);
  const inUse = await protocolsInUse(view, now, protocolId);
  if (inUse.length === 0) return [];
  const plans = inUse.flatMap(({ protocol, approved }) => [
    planFor(protocol, null),
    ...approved.map(({ content }) => content),
  ]);
  const from = instantOfLocal(`${plusDays(window.from, -reachOf(plans))}T00:00`, zone);
  // What happened after the window may answer what came up in it.
  const to = later(endOfDay(window.to, zone), now);
  const reagents = await catalogue(view);
  const services = await servicesOf(view);
  const known: Known = {
    calendar: await calendarOf(view),
    zone,
    services,
    lots: await lotsOpened(view, staining(reagents), from),
    uses: await usesBetween(view, { from, to, zone, reagents, services, protocolId }),
    results: await controlResults(view, { from, to, ...(protocolId !== undefined && { protocolId }) }),
  };
  const schedules: ProtocolSchedule[] = [];
  for (const each of inUse) schedules.push(await scheduleOf(view, each, known, window, now));
  return schedules;
}

function reachOf(plans: readonly ControlPlan[]): number {
  const clocks = plans.flatMap(({ controls }) => controls.flatMap((control) => control.clocks));
  const days = clocks.map(({ when, n = 0 }) =>
    when === 'every n slides' ? REACH_SLIDES_DAYS : when === 'every n days' ? n + 1 : REACH_DAYS,
  );
  return Math.max(REACH_DAYS, ...days);
}

/** Protocols with a revision in force, each with the instant from which the first one could be used. */
async function protocolsInUse(view: View, now: Instant, protocolId?: string): Promise<InUse[]> {
  const revisions = await knownRevisions(view, protocolId);
  const plans = await knownPlans(view, protocolId);
  const byProtocol = new Map<string, KnownRevision[]>();
  for (const each of revisions) {
    byProtocol.set(each.row.protocolId, [...(byProtocol.get(each.row.protocolId) ?? []), each]);
  }
  return [...byProtocol].flatMap(([id, own]) => {
    const current = own.find((each) => inForce(each, own, now));
    if (!current) return [];
    const since = own.flatMap(({ acts }) => acts.flatMap(({ data }) => data.effectiveFrom ?? [])).sort()[0] ?? now;
    const approved = approvedPlans(plans.filter(({ row }) => row.protocolId === id));
    return [{ protocol: current.row.content, since, approved }];
  });
}

interface Known {
  calendar: Awaited<ReturnType<typeof calendarOf>>;
  zone: string;
  services: Service[];
  lots: OpenedLot[];
  uses: (Use & { protocolId: string })[];
  results: ControlResult[];
}

async function scheduleOf(
  view: View,
  { protocol, since, approved }: InUse,
  known: Known,
  window: Window,
  now: Instant,
): Promise<ProtocolSchedule> {
  const { zone, calendar, services } = known;
  const uses = known.uses.filter(({ protocolId }) => protocolId === protocol.id);
  const found = known.results.filter(({ protocolId }) => protocolId === protocol.id);
  const codes = new Set(protocol.steps.flatMap(({ reagent }) => reagent ?? []));
  const lots = known.lots.filter(({ reagent }) => codes.has(reagent));
  const tasks: ControlTask[] = [];
  let last = planFor(protocol, null);
  for (const span of spansOf(protocol, since, approved, window, zone)) {
    const { plan } = span;
    const results: CoveringResult[] = await asCovering(view, found, plan.use, zone);
    if (plan.use.counts === 'patient') await namePatients(view, uses);
    tasks.push(
      ...schedule({ plan, since: span.since, uses, results, lots, services, calendar, zone }, span.window, now),
    );
    last = plan;
  }
  const shown = uses.filter(({ day }) => day >= window.from && day <= window.to);
  return { protocolId: protocol.id, title: protocol.title, plan: last, tasks, uses: shown };
}

/** The plans that count within a window, each with its days: a day belongs to the plan in force at its end. */
function spansOf(
  protocol: Protocol,
  since: Instant,
  approved: readonly ApprovedPlan[],
  window: Window,
  zone: string,
): { plan: ControlPlan; since: Instant; window: Window }[] {
  const starts = [since, ...approved.map(({ effectiveFrom }) => effectiveFrom).filter((at) => at > since)].sort();
  return starts.flatMap((at, n) => {
    const next = starts[n + 1];
    const from = later(window.from, localDay(at, zone));
    const end = next === undefined ? window.to : plusDays(localDay(next, zone), -1);
    const to = end < window.to ? end : window.to;
    if (to < from) return [];
    const plan = planFor(protocol, planInForce(approved, at)?.content ?? null);
    return [{ plan, since: at, window: { from, to } }];
  });
}

function later(a: string, b: string): string {
  return a > b ? a : b;
}

async function namePatients(view: View, uses: Use[]): Promise<void> {
  const patients = await patientsOf(
    view,
    uses.map(({ runId }) => runId),
  );
  for (const use of uses) use.patients = patients.get(use.runId) ?? [];
}

async function servicesOf(view: View): Promise<Service[]> {
  return (await knownInstruments(view)).flatMap((instrument) =>
    instrument.acts
      .filter(({ kind }) => kind === 'serviced')
      .map(({ id, at }) => ({ id, at, station: stationAt(instrument, at) })),
  );
}

/** Lots and shipments of what stains, of which the first container was opened at or after an instant. */
async function lotsOpened(view: View, codes: readonly string[], from: Instant): Promise<OpenedLot[]> {
  if (codes.length === 0) return [];
  const places = codes.map((_, n) => `$${n + 2}`).join(', ');
  return (await (
    await view.ready()
  ).query(
    `SELECT lot.id AS "id", lot.reagent_code AS "reagent", lot.number AS "number", MIN(act.at) AS "at" FROM lot
       JOIN container ON container.lot_id = lot.id
       JOIN container_act act ON act.container_id = container.id AND act.state = 'opened'
      WHERE lot.laboratory_id = $1 AND lot.reagent_code IN (${places})
      GROUP BY lot.id, lot.reagent_code, lot.number HAVING MIN(act.at) >= $${codes.length + 2}
      ORDER BY MIN(act.at), lot.id`,
    [view.laboratoryId, ...codes, from],
  )) as OpenedLot[];
}

interface UsesAsked {
  from: Instant;
  to: Instant;
  zone: string;
  reagents: readonly Reagent[];
  services: readonly Service[];
  protocolId?: string | undefined;
}

/** Uses for patients that were not abandoned, with what stood on their trays. */
async function usesBetween(
  view: View,
  { from, to, zone, reagents, services, protocolId }: UsesAsked,
): Promise<Known['uses']> {
  const manager = await view.ready();
  const one = protocolId === undefined ? '' : 'AND revision.protocol_id = $4';
  const parameters = [view.laboratoryId, from, to, ...(protocolId === undefined ? [] : [protocolId])];
  const chosen = `run.laboratory_id = $1 AND run.started_at >= $2 AND run.started_at < $3 ${one} AND run.purpose = 'patients'`;
  const runs = (await manager.query(
    `SELECT run.id AS "runId", run.revision_id AS "revisionId", revision.protocol_id AS "protocolId",
            run.station AS "station", run.started_at AS "at", COUNT(run_subject.id) AS "slides" FROM run
       JOIN revision ON revision.id = run.revision_id
       LEFT JOIN run_subject ON run_subject.run_id = run.id AND run_subject.role = 'patient'
      WHERE ${chosen}
        AND NOT EXISTS (SELECT 1 FROM run_event gone WHERE gone.run_id = run.id AND gone.kind = 'abandoned')
      GROUP BY run.id, run.revision_id, revision.protocol_id, run.station, run.started_at
      ORDER BY run.started_at, run.id`,
    parameters,
  )) as StoredUse[];
  const onTray = await traysOf(view, chosen, parameters);
  return runs.map(({ slides, ...run }) => {
    const day = localDay(run.at, zone);
    const serviced = services.filter(({ at, station }) => at <= run.at && station === run.station).map(({ at }) => at);
    return {
      ...run,
      day,
      week: weekOf(day),
      month: day.slice(0, 7),
      slides: Number(slides),
      ...usedWith(reagents, onTray.get(run.runId) ?? []),
      servicedAt: serviced.sort().at(-1) ?? null,
    };
  });
}

/**
 * What stood on the trays of the chosen runs, by run. What was taken back and when containers were opened is asked once
 * and not for each of them: a busy day has hundreds of thousands.
 */
async function traysOf(view: View, chosen: string, parameters: string[]): Promise<Map<string, OnTray[]>> {
  const manager = await view.ready();
  const among = `FROM run JOIN revision ON revision.id = run.revision_id`;
  const trays = (await manager.query(
    `SELECT tray_use.run_id AS "runId", tray_use.event_id AS "eventId", tray_use.container_id AS "containerId",
            tray_use.reagent_code AS "reagent", lot.id AS "lotId", lot.number AS "number" ${among}
       JOIN tray_use ON tray_use.run_id = run.id
       JOIN container ON container.id = tray_use.container_id
       JOIN lot ON lot.id = container.lot_id
      WHERE ${chosen} ORDER BY tray_use.at, tray_use.seq, tray_use.id`,
    parameters,
  )) as (Omit<OnTray, 'openedAt'> & { runId: string; eventId: string; containerId: string })[];
  const corrections = (await manager.query(
    `SELECT taken.data AS "data" ${among} JOIN run_event taken ON taken.run_id = run.id AND taken.kind = 'corrected'
        AND taken.data LIKE '%"withdrawn":true%' WHERE ${chosen}`,
    parameters,
  )) as { data: string }[];
  const openings = (await manager.query(
    `SELECT act.container_id AS "id", MIN(act.at) AS "at" FROM container_act act
      WHERE act.state = 'opened' AND act.container_id IN (SELECT tray_use.container_id ${among}
        JOIN tray_use ON tray_use.run_id = run.id WHERE ${chosen}) GROUP BY act.container_id`,
    parameters,
  )) as { id: string; at: Instant }[];
  const taken = new Set(corrections.map(({ data }) => (JSON.parse(data) as { event?: string }).event));
  const openedAt = new Map(openings.map(({ id, at }) => [id, at]));
  const standing = trays.filter(({ eventId }) => !taken.has(eventId));
  return grouped(
    standing,
    ({ runId }) => runId,
    ({ reagent, lotId, number, containerId }): OnTray => {
      return { reagent, lotId, number, openedAt: openedAt.get(containerId) ?? null };
    },
  );
}

interface StoredUse {
  runId: string;
  revisionId: string;
  protocolId: string;
  station: string;
  at: Instant;
  slides: number | string;
}
