import type { LateRunDto, MonthWorkDto, RuleCountDto } from '../../../contract/month.dto.js';
import type { Finding } from '../../../core/gate/finding.js';
import { ruleTitle } from '../../../core/report/findings.js';
import type { Signature } from '../../../core/record/signed.js';
import type { ReleaseException } from '../../../core/release/release.js';
import { median, quantile } from '../../../core/statistics/sample.js';
import { epochMs, type Instant } from '../../../core/time/instant.js';
import type { View } from '../../view.js';
import { type MonthSpan, within } from './span.js';

const IN_MONTH = 'run.laboratory_id = $1 AND run.started_at >= $2 AND run.started_at < $3';

/** So many runs with late entries are named. */
const LATE_NAMED = 12;

/** What was done by each protocol in the runs of a month, by their titles; and what the rules found at their releases. */
export async function monthWork(
  view: View,
  span: MonthSpan,
  titles: ReadonlyMap<string, string>,
): Promise<{ work: MonthWorkDto[]; findings: RuleCountDto[] }> {
  const counted = new Map<string, MonthWorkDto>();
  const of = (protocolId: string): MonthWorkDto => {
    const known = counted.get(protocolId) ?? nothing(protocolId, titles.get(protocolId) ?? protocolId);
    counted.set(protocolId, known);
    return known;
  };
  for (const { protocolId, purpose, runs, abandoned } of await runCounts(view, span)) {
    const work = of(protocolId);
    work.runs += Number(runs);
    work.abandoned += Number(abandoned);
    if (purpose === 'patients') work.runsForPatients += Number(runs);
  }
  for (const { protocolId, cases } of await caseCounts(view, span)) of(protocolId).cases = Number(cases);
  for (const { protocolId, events, late, corrections } of await eventCounts(view, span)) {
    Object.assign(of(protocolId), { events: Number(events), late: Number(late), corrections: Number(corrections) });
  }
  const releases = await releasesIn(view, span);
  for (const protocolId of new Set(releases.map((each) => each.protocolId))) {
    const own = releases.filter((each) => each.protocolId === protocolId);
    Object.assign(of(protocolId), released(own));
  }
  return {
    work: [...counted.values()].sort((a, b) => (a.title < b.title ? -1 : 1)),
    findings: ruleCounts(releases.filter(({ amends }) => amends === null)),
  };
}

function nothing(protocolId: string, title: string): MonthWorkDto {
  return {
    protocolId,
    title,
    runs: 0,
    runsForPatients: 0,
    abandoned: 0,
    cases: 0,
    released: 0,
    clear: 0,
    exceptions: 0,
    amended: 0,
    withdrawn: 0,
    events: 0,
    late: 0,
    corrections: 0,
    turnaround: null,
  };
}

function runCounts(
  view: View,
  span: MonthSpan,
): Promise<{ protocolId: string; purpose: string; runs: number | string; abandoned: number | string }[]> {
  return within(
    view,
    span,
    `SELECT revision.protocol_id AS "protocolId", run.purpose AS "purpose", COUNT(*) AS "runs", SUM(CASE WHEN EXISTS
        (SELECT 1 FROM run_event gone WHERE gone.run_id = run.id AND gone.kind = 'abandoned') THEN 1 ELSE 0 END) AS "abandoned"
       FROM run JOIN revision ON revision.id = run.revision_id
      WHERE ${IN_MONTH} GROUP BY revision.protocol_id, run.purpose`,
  );
}

function caseCounts(view: View, span: MonthSpan): Promise<{ protocolId: string; cases: number | string }[]> {
  return within(
    view,
    span,
    `SELECT revision.protocol_id AS "protocolId", COUNT(*) AS "cases" FROM run
       JOIN revision ON revision.id = run.revision_id
       JOIN run_subject ON run_subject.run_id = run.id AND run_subject.role = 'patient'
      WHERE ${IN_MONTH} AND run.purpose = 'patients' GROUP BY revision.protocol_id`,
  );
}

const LATE = `SUM(CASE WHEN event.stamp LIKE '%"late":true%' AND event.kind <> 'corrected' THEN 1 ELSE 0 END)`;
const CORRECTED = `SUM(CASE WHEN event.kind = 'corrected' THEN 1 ELSE 0 END)`;

function eventCounts(
  view: View,
  span: MonthSpan,
): Promise<Record<'protocolId' | 'events' | 'late' | 'corrections', string>[]> {
  return within(
    view,
    span,
    `SELECT revision.protocol_id AS "protocolId", COUNT(*) AS "events", ${LATE} AS "late", ${CORRECTED} AS "corrections"
       FROM run JOIN revision ON revision.id = run.revision_id JOIN run_event event ON event.run_id = run.id
      WHERE ${IN_MONTH} GROUP BY revision.protocol_id`,
  );
}

/** Runs of a month with late entries or corrections, most first, and how many there are. */
export async function lateRuns(view: View, span: MonthSpan): Promise<{ late: LateRunDto[]; lateRuns: number }> {
  const rows = await within<Omit<LateRunDto, 'events' | 'late' | 'corrections'> & Record<string, number | string>>(
    view,
    span,
    `SELECT run.id AS "runId", run.seq AS "number", revision.title AS "title", run.started_at AS "startedAt",
            COUNT(*) AS "events", ${LATE} AS "late", ${CORRECTED} AS "corrections"
       FROM run JOIN revision ON revision.id = run.revision_id JOIN run_event event ON event.run_id = run.id
      WHERE ${IN_MONTH} GROUP BY run.id, run.seq, revision.title, run.started_at HAVING ${LATE} + ${CORRECTED} > 0
      ORDER BY ${LATE} + ${CORRECTED} DESC, run.id`,
  );
  return {
    lateRuns: rows.length,
    late: rows.slice(0, LATE_NAMED).map(({ runId, number, title, startedAt, events, late, corrections }) => ({
      runId,
      number: Number(number),
      title,
      startedAt,
      events: Number(events),
      late: Number(late),
      corrections: Number(corrections),
    })),
  };
}

interface MonthRelease {
  runId: string;
  protocolId: string;
  startedAt: Instant;
  subjectId: string;
  findings: Finding[];
  signedAt: Instant;
  exception: ReleaseException | null;
  amends: string | null;
  withdrawn: boolean;
}

async function releasesIn(view: View, span: MonthSpan): Promise<MonthRelease[]> {
  const rows = await within<
    Omit<MonthRelease, 'findings' | 'signedAt' | 'exception' | 'withdrawn'> & {
      findings: string;
      signature: string;
      exception: string | null;
      withdrawn: number | string;
    }
  >(
    view,
    span,
    `SELECT run.id AS "runId", revision.protocol_id AS "protocolId", run.started_at AS "startedAt",
            release.subject_id AS "subjectId", release.findings AS "findings", release.signature AS "signature",
            release.exception AS "exception", release.amends AS "amends",
            (SELECT COUNT(*) FROM release_withdrawal back WHERE back.release_id = release.id) AS "withdrawn"
       FROM run JOIN revision ON revision.id = run.revision_id JOIN release ON release.run_id = run.id
      WHERE ${IN_MONTH} ORDER BY release.seq, release.id`,
  );
  return rows.map(({ findings, signature, exception, withdrawn, ...rest }) => ({
    ...rest,
    findings: JSON.parse(findings) as Finding[],
    signedAt: (JSON.parse(signature) as Signature).at,
    exception: exception === null ? null : (JSON.parse(exception) as ReleaseException),
    withdrawn: Number(withdrawn) > 0,
  }));
}

function released(
  releases: readonly MonthRelease[],
): Pick<MonthWorkDto, 'released' | 'clear' | 'exceptions' | 'amended' | 'withdrawn' | 'turnaround'> {
  const first = new Map<string, MonthRelease>();
  for (const release of releases) {
    const key = `${release.runId} ${release.subjectId}`;
    if (!first.has(key)) first.set(key, release);
  }
  const firsts = [...first.values()];
  const waits = firsts.map(({ startedAt, signedAt }) => epochMs(signedAt) - epochMs(startedAt));
  const exceptions = firsts.filter(({ exception }) => exception !== null).length;
  return {
    released: firsts.length,
    clear: firsts.length - exceptions,
    exceptions,
    amended: releases.filter(({ amends }) => amends !== null).length,
    withdrawn: releases.filter(({ withdrawn }) => withdrawn).length,
    turnaround:
      waits.length === 0 ? null : { cases: waits.length, medianMs: median(waits), p90Ms: quantile(waits, 0.9) },
  };
}

function ruleCounts(releases: readonly MonthRelease[]): RuleCountDto[] {
  const counts = new Map<string, RuleCountDto>();
  for (const { findings, exception } of releases) {
    const seen = new Set<string>();
    for (const { id, rule, weight, settled } of findings) {
      const count = counts.get(rule) ?? {
        rule,
        title: ruleTitle(rule),
        releases: 0,
        stops: 0,
        settled: 0,
        excepted: 0,
      };
      counts.set(rule, count);
      if (!seen.has(rule)) count.releases += 1;
      seen.add(rule);
      if (weight === 'stop') count.stops += 1;
      if (settled) count.settled += 1;
      if (exception?.findings.includes(id)) count.excepted += 1;
    }
  }
  return [...counts.values()].sort((a, b) => b.releases - a.releases || (a.rule < b.rule ? -1 : 1));
}
