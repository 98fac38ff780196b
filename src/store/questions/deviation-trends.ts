import { CAUSE_KINDS, type DeviationActData, RESULT_EFFECTS } from '../../core/deviations/deviation.js';
import { beyondProcess, type Counted, ranked, type Ranked } from '../../core/deviations/trends.js';
import type { Finding } from '../../core/gate/finding.js';
import { ruleOf } from '../../core/gate/rules.js';
import type { CountedSample } from '../../core/statistics/attributes-chart.js';
import type { Instant } from '../../core/time/instant.js';
import { CompetenceRow } from '../rows/competence.entity.js';
import type { View } from '../view.js';
import { namesOf } from './people.js';
import { catalogue } from './reagents.js';
import { asked, placesAfter } from './trace/reach.js';

/** From an instant up to another, which is not part of it. */
export interface Period {
  since: Instant;
  until: Instant;
}

/** A deviation of the period: of a run that began in it, or of none and opened in it. */
interface Counting {
  id: string;
  runId: string | null;
  personId: string | null;
  startedAt: Instant | null;
  protocolId: string | null;
  step: string | null;
  rule: string | null;
  effect: string;
  cause: string | null;
}

/** Runs of one person in one protocol. */
interface RunsOf {
  personId: string;
  protocolId: string;
  runs: number;
}

const IN_PERIOD = `FROM deviation LEFT JOIN run ON run.id = deviation.run_id
  LEFT JOIN revision ON revision.id = run.revision_id
  WHERE deviation.laboratory_id = $1 AND COALESCE(run.started_at, deviation.at) >= $2
    AND COALESCE(run.started_at, deviation.at) < $3`;

const of = (view: View, { since, until }: Period): string[] => [view.laboratoryId, since, until];

/** What deviations of a period have in common, and by month how many there were in how many runs. */
export async function deviationTrends(view: View, months: readonly Period[]) {
  const period = { since: months[0]?.since ?? '', until: months.at(-1)?.until ?? '' };
  const all = await counting(view, period);
  const inRuns = all.filter(({ runId }) => runId !== null);
  const runsOf = await runsBy(view, period);
  const titles = await protocolTitles(view);
  const title = (id: string | null): string => titles.get(id ?? '') ?? id ?? '';
  const runs = sum(runsOf.map((each) => each.runs));
  const ofProtocol = (id: string | null): number =>
    sum(runsOf.filter(({ protocolId }) => protocolId === id).map((each) => each.runs));
  return {
    runs,
    deviations: inRuns.length,
    withoutRun: all.length - inRuns.length,
    perRun: await Promise.all(months.map((month) => sample(view, month, inRuns, (found) => found.length))),
    runsWith: await Promise.all(
      months.map((month) => sample(view, month, inRuns, (found) => new Set(found.map(({ runId }) => runId)).size)),
    ),
    byProtocol: grouped(inRuns, ({ protocolId }) => ({
      key: protocolId ?? '',
      name: title(protocolId),
      runs: ofProtocol(protocolId),
    })),
    byStep: grouped(
      inRuns.filter(({ step }) => step !== null),
      ({ protocolId, step }) => ({
        key: `${protocolId}:${step}`,
        name: `${title(protocolId)}: ${(step ?? '').replaceAll('-', ' ')}`,
        runs: ofProtocol(protocolId),
      }),
    ),
    byRule: grouped(
      inRuns.filter(({ rule }) => rule !== null),
      ({ rule }) => ({ key: rule ?? '', name: ruleOf(rule ?? '')?.title ?? rule ?? '', runs }),
    ),
    byLot: await byLot(view, period),
    byCause: ranked(CAUSE_KINDS.map((kind) => plain(kind, all.filter(({ cause }) => cause === kind).length))),
    byEffect: ranked(RESULT_EFFECTS.map((kind) => plain(kind, all.filter(({ effect }) => effect === kind).length))),
  };
}

function plain(key: string, deviations: number): Counted {
  return { key, name: key, deviations, runs: null };
}

function grouped(deviations: readonly Counting[], group: (each: Counting) => Omit<Counted, 'deviations'>): Ranked[] {
  const groups = new Map<string, Counted>();
  for (const each of deviations) {
    const own = group(each);
    groups.set(own.key, { ...own, deviations: (groups.get(own.key)?.deviations ?? 0) + 1 });
  }
  return ranked([...groups.values()]);
}

async function counting(view: View, period: Period): Promise<Counting[]> {
  const rows = await asked<Omit<Counting, 'rule' | 'cause'> & { finding: string | null }>(
    view,
    `SELECT deviation.id, deviation.run_id AS "runId", run.person_id AS "personId", run.started_at AS "startedAt",
      COALESCE(revision.protocol_id, deviation.protocol_id) AS "protocolId", deviation.step, deviation.finding,
      deviation.effect ${IN_PERIOD} ORDER BY deviation.number`,
    of(view, period),
  );
  const acts = await asked<{ deviationId: string; data: string }>(
    view,
    `SELECT act.deviation_id AS "deviationId", act.data FROM deviation_act act
      WHERE act.kind IN ('cause', 'effect') AND act.deviation_id IN (SELECT deviation.id ${IN_PERIOD})
      ORDER BY act.seq, act.id`,
    of(view, period),
  );
  const latest = new Map<string, DeviationActData>();
  for (const { deviationId, data } of acts) {
    latest.set(deviationId, { ...latest.get(deviationId), ...(JSON.parse(data) as DeviationActData) });
  }
  return rows.map(({ finding, effect, ...row }) => ({
    ...row,
    rule: finding === null ? null : (JSON.parse(finding) as Finding).rule,
    effect: latest.get(row.id)?.effect ?? effect,
    cause: latest.get(row.id)?.causeKind ?? null,
  }));
}

async function sample(
  view: View,
  { since, until }: Period,
  deviations: readonly Counting[],
  count: (found: readonly Counting[]) => number,
): Promise<CountedSample> {
  const found = deviations.filter(({ startedAt }) => startedAt !== null && startedAt >= since && startedAt < until);
  const [row] = await asked<{ runs: number | string }>(
    view,
    'SELECT COUNT(*) AS runs FROM run WHERE laboratory_id = $1 AND started_at >= $2 AND started_at < $3',
    of(view, { since, until }),
  );
  return { count: count(found), size: Number(row?.runs ?? 0) };
}

async function runsBy(view: View, period: Period): Promise<RunsOf[]> {
  const rows = await asked<Omit<RunsOf, 'runs'> & { runs: number | string }>(
    view,
    `SELECT run.person_id AS "personId", revision.protocol_id AS "protocolId", COUNT(*) AS runs
      FROM run JOIN revision ON revision.id = run.revision_id
      WHERE run.laboratory_id = $1 AND run.started_at >= $2 AND run.started_at < $3
      GROUP BY run.person_id, revision.protocol_id`,
    of(view, period),
  );
  return rows.map((row) => ({ ...row, runs: Number(row.runs) }));
}

/** Each lot that stood on the tray of a run with a deviation, with all runs of the period on whose tray it stood. */
async function byLot(view: View, period: Period): Promise<Ranked[]> {
  const lots = await asked<{ key: string; number: string; code: string; deviations: number | string }>(
    view,
    `SELECT lot.id AS "key", lot.number, lot.reagent_code AS code, COUNT(DISTINCT deviation.id) AS deviations
      FROM deviation JOIN run ON run.id = deviation.run_id JOIN tray_use ON tray_use.run_id = run.id
        JOIN container ON container.id = tray_use.container_id JOIN lot ON lot.id = container.lot_id
      WHERE deviation.laboratory_id = $1 AND run.started_at >= $2 AND run.started_at < $3
      GROUP BY lot.id, lot.number, lot.reagent_code`,
    of(view, period),
  );
  const runs = await asked<{ lotId: string; runs: number | string }>(
    view,
    `SELECT container.lot_id AS "lotId", COUNT(DISTINCT run.id) AS runs
      FROM container JOIN tray_use ON tray_use.container_id = container.id JOIN run ON run.id = tray_use.run_id
      WHERE container.laboratory_id = $1 AND run.started_at >= $2 AND run.started_at < $3
        AND container.lot_id IN (${placesAfter(3, lots.length)})
      GROUP BY container.lot_id`,
    [...of(view, period), ...lots.map(({ key }) => key)],
  );
  const inRuns = new Map(runs.map((each) => [each.lotId, Number(each.runs)]));
  const names = new Map((await catalogue(view)).map(({ code, name }) => [code, name]));
  return ranked(
    lots.map(({ key, number, code, deviations }) => ({
      key,
      name: `${names.get(code) ?? code}, lot ${number}`,
      deviations: Number(deviations),
      runs: inRuns.get(key) ?? 0,
    })),
  );
}

async function protocolTitles(view: View): Promise<Map<string, string>> {
  const rows = await asked<{ id: string; title: string }>(
    view,
    'SELECT protocol_id AS id, title FROM revision WHERE laboratory_id = $1 ORDER BY number',
    [view.laboratoryId],
  );
  return new Map(rows.map(({ id, title }) => [id, title]));
}

/** Somebody with more deviations than the process gives anybody in the same runs. */
interface Support {
  personId: string;
  name: string;
  runs: number;
  deviations: number;
  /** So many would be expected in these runs, each at the rate of its protocol. */
  expected: number;
}

/** Where training or help may be wanting: by who assessed people, and whom the process does not explain. */
export async function deviationSupport(
  view: View,
  period: Period,
): Promise<{ people: number; byAssessor: Ranked[]; support: Support[] }> {
  const runs = await runsBy(view, period);
  const deviations = (await counting(view, period)).filter(({ runId }) => runId !== null);
  const found = ({ personId, protocolId }: RunsOf): number =>
    deviations.filter((each) => each.personId === personId && each.protocolId === protocolId).length;
  const rate = (protocolId: string): number =>
    deviations.filter((each) => each.protocolId === protocolId).length /
    sum(runs.filter((each) => each.protocolId === protocolId).map((each) => each.runs));
  const ids = [...new Set(runs.map(({ personId }) => personId))];
  const names = await namesOf(view, ids);
  const assessors = await assessorsOf(view, period.until);
  const groups = new Map<string, Counted>();
  for (const each of runs) {
    const by = assessors.get(`${each.personId} ${each.protocolId}`);
    if (!by) continue;
    const known = groups.get(by.id) ?? { key: by.id, name: by.name, deviations: 0, runs: 0 };
    groups.set(by.id, {
      ...known,
      deviations: known.deviations + found(each),
      runs: (known.runs ?? 0) + each.runs,
    });
  }
  const lines = ids.map((personId) => {
    const own = runs.filter((each) => each.personId === personId);
    return {
      personId,
      name: names[personId] ?? '',
      runs: sum(own.map((each) => each.runs)),
      deviations: sum(own.map(found)),
      expected: sum(own.map((each) => each.runs * rate(each.protocolId))),
    };
  });
  return {
    people: ids.length,
    byAssessor: ranked([...groups.values()]),
    support: lines
      .filter((line) => beyondProcess(line.deviations, line.expected))
      .sort((a, b) => (a.name < b.name ? -1 : 1)),
  };
}

/** Who found a person competent in a protocol, last before an instant, by '<person> <protocol>'. */
async function assessorsOf(view: View, until: Instant): Promise<Map<string, { id: string; name: string }>> {
  const acts = await view.all(CompetenceRow, { decision: 'competent' }, { order: { at: 'ASC', seq: 'ASC' } });
  return new Map(
    acts
      .filter(({ at }) => at < until)
      .map(({ personId, protocolId, signature }) => [
        `${personId} ${protocolId}`,
        { id: signature.personId, name: signature.name },
      ]),
  );
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
