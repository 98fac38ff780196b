import type { Finding } from '../../../core/gate/finding.js';
import type { Signature } from '../../../core/record/signed.js';
import type { ReleaseException } from '../../../core/release/release.js';
import type { BenchStamp } from '../../../core/run/events.js';
import type { Instant } from '../../../core/time/instant.js';
import type { View } from '../../view.js';
import { rowsOf, type Sql, sql } from '../sql.js';
import { type Asking, runsOf } from './topic.js';

/** What an answer shows of each part; the counts say how many there are. */
const SHOWN = 50;

/** A bench entry made after the fact. */
export interface LateEntry {
  runId: string;
  title: string;
  kind: string;
  data: Record<string, unknown>;
  /** When it happened, as the person stated. */
  performedAt: Instant;
  recordedAt: Instant;
  personId: string;
}

/** Late entries of the runs asked about, the latest recorded first. */
export async function lateEntries(view: View, asking: Asking, which: Sql): Promise<LateEntry[]> {
  const rows = await rowsOf<Omit<LateEntry, 'data' | 'performedAt'> & { data: string; stamp: string }>(
    view,
    sql`SELECT event.run_id AS "runId", revision.title AS "title", event.kind AS "kind", event.data AS "data",
        event.stamp AS "stamp", event.received_at AS "recordedAt", event.person_id AS "personId"
      FROM run_event event JOIN run ON run.id = event.run_id JOIN revision ON revision.id = run.revision_id
      WHERE event.run_id IN (SELECT id FROM (${runsOf(view, asking, which)}) worked) AND event.stamp LIKE '%"late":true%'
      ORDER BY event.seq DESC LIMIT ${SHOWN}`,
  );
  return rows.map(({ data, stamp, ...row }) => ({
    ...row,
    data: JSON.parse(data) as Record<string, unknown>,
    performedAt: (JSON.parse(stamp) as BenchStamp).at,
  }));
}

/** A release with what spoke against it and who signed. */
export interface AskedRelease {
  id: string;
  runId: string;
  title: string;
  kind: string;
  findings: Finding[];
  signature: Signature;
  exception: ReleaseException | null;
}

/** Releases of the runs asked about; those by exception first, then those with most findings, then the newest. */
export async function askedReleases(view: View, asking: Asking, which: Sql): Promise<AskedRelease[]> {
  const rows = await rowsOf<
    Omit<AskedRelease, 'findings' | 'signature' | 'exception'> & {
      findings: string;
      signature: string;
      exception: string | null;
    }
  >(
    view,
    sql`SELECT release.id AS "id", release.run_id AS "runId", revision.title AS "title", release.kind AS "kind",
        release.findings AS "findings", release.signature AS "signature", release.exception AS "exception"
      FROM release JOIN run ON run.id = release.run_id JOIN revision ON revision.id = run.revision_id
      WHERE release.run_id IN (SELECT id FROM (${runsOf(view, asking, which)}) worked)
      ORDER BY CASE WHEN release.exception IS NULL THEN 1 ELSE 0 END, LENGTH(release.findings) DESC, release.seq DESC
      LIMIT ${SHOWN}`,
  );
  return rows.map(({ findings, signature, exception, ...row }) => ({
    ...row,
    findings: JSON.parse(findings) as Finding[],
    signature: JSON.parse(signature) as Signature,
    exception: exception === null ? null : (JSON.parse(exception) as ReleaseException),
  }));
}

/** A reading of a control. */
export interface AskedControl {
  id: string;
  runId: string;
  title: string;
  requirement: string;
  at: Instant;
  passed: boolean;
  observed: string;
  personId: string | null;
}

/** Readings of controls in the runs asked about; failed ones first, then the newest. */
export async function askedControls(view: View, asking: Asking, which: Sql): Promise<AskedControl[]> {
  const rows = await rowsOf<Omit<AskedControl, 'passed'> & { passed: boolean | number }>(
    view,
    sql`SELECT result.id AS "id", result.run_id AS "runId", revision.title AS "title", result.requirement AS "requirement",
        result.at AS "at", result.passed AS "passed", result.observed AS "observed", result.person_id AS "personId"
      FROM control_result result JOIN run ON run.id = result.run_id JOIN revision ON revision.id = run.revision_id
      WHERE result.run_id IN (SELECT id FROM (${runsOf(view, asking, which)}) worked)
      ORDER BY CASE WHEN result.passed = TRUE THEN 1 ELSE 0 END, result.seq DESC LIMIT ${SHOWN}`,
  );
  return rows.map(({ passed, ...row }) => ({ ...row, passed: Boolean(passed) }));
}
