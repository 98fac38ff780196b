import { In } from 'typeorm';
import type { ReleaseDto } from '../../contract/releases.dto.js';
import { type Judgement, judge, type PointJudgement } from '../../core/gate/judge.js';
import type { RunFacts } from '../../core/gate/facts.js';
import type { Limit } from '../../core/lot/lot.js';
import { reportedFindings, ruleTitle } from '../../core/report/findings.js';
import type {
  ReportedControl,
  ReportedFinding,
  ReportedReagent,
  ReportedResult,
  ReportedSignature,
  ReportedSubject,
  RunReport,
} from '../../core/report/run-report.js';
import { reportedSteps } from '../../core/report/steps.js';
import { controlReadings, eventsOf, type RunState, runState } from '../../core/run/state.js';
import { IDENTIFIER_KINDS } from '../../core/specimen/subject.js';
import { Refusal } from '../../core/refusal.js';
import { HeadRow, SealedRow } from '../rows/record.entity.js';
import { type SubjectRow } from '../rows/specimens.entity.js';
import { LotRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';
import { needLaboratory } from './laboratories.js';
import type { LoadedRun } from './loaded-run.js';
import { namesOf } from './people.js';
import { catalogue, gateWords } from './reagents.js';
import { releasesOf } from './releases.js';
import { picturesOfRun } from './run-pictures.js';
import { revisionHistories } from './revisions.js';
import { loadRun, runFacts } from './runs.js';
import { sealedValues } from './sealed.js';
import { subjectsOf } from './subjects.js';

/**
 * Everything that a report on a run says, from the record as it stands: what was done and when, with what, what speaks
 * against it and how that was settled, what was released. Identifiers of patients are in it; the report's options say
 * whether they are printed. Refuses when there is no such run.
 */
export async function runReport(view: View, runId: string): Promise<RunReport> {
  const laboratory = await needLaboratory(view);
  const head = await view.one(HeadRow, {});
  if (!head) throw new Refusal('unavailable', 'no-record', 'The record is empty, so there is nothing to report on.');
  const loaded = await loadRun(view, runId, head.seq);
  const facts = await runFacts(view, loaded, head.seq);
  const state = runState(facts.protocol, facts.events);
  const judgement = judge(facts);
  const releases = await releasesOf(view, runId);
  const pictures = await picturesOfRun(view, runId);
  const takers = pictures.map(({ row }) => row.personId);
  const names = await namesOf(view, [...peopleIn(loaded, releases), ...takers]);
  const nameOf = (id: string): string => names[id] ?? id;
  const subjects = await reportedSubjects(view, loaded);
  const labelOf = (id: string): string => subjects.find((each) => each.id === id)?.label ?? id;
  const findings = await inWords(view, reportedFindings(judgement, state, releases, { nameOf, labelOf }));
  const { run, revision } = loaded;
  const stamps = state.events.map(({ stamp }) => stamp.at).sort();
  return {
    laboratory: { name: laboratory.name, zone: laboratory.zone, demo: laboratory.demo },
    record: { seq: head.seq, hash: head.hash },
    rules: judgement.rules,
    run: {
      id: run.id,
      number: run.seq,
      station: run.station,
      purpose: run.purpose,
      startedAt: run.startedAt,
      startedBy: nameOf(run.personId),
      supervisors: [...new Set(eventsOf(state.events, 'supervised').map(({ data }) => nameOf(data.supervisor)))],
      lastAt: stamps.at(-1) ?? run.startedAt,
      state: state.abandoned ? 'abandoned' : state.cleared ? 'cleared' : 'on the bench',
      abandoned: state.abandoned?.reason ?? null,
      late: state.events.filter(({ stamp }) => stamp.late).length,
      corrections: loaded.events.filter(({ kind }) => kind === 'corrected').length,
    },
    protocol: { title: revision.title, revision: revision.number, contentHash: revision.contentHash },
    subjects,
    steps: reportedSteps(state, nameOf, facts.driftPpm),
    reagents: await reportedReagents(view, facts, state, findings),
    controls: reportedControls(facts, state, findings, nameOf),
    findings,
    results: reportedResults(judgement, releases),
    signatures: [...(await approvals(view, loaded, head.seq)), ...signaturesOf(state, releases, labelOf)],
    answers: await spokenAnswers(view, state, { nameOf, labelOf }),
    notes: eventsOf(state.events, 'noted').map(({ stamp, personId, data }) => ({
      at: stamp.at,
      by: nameOf(personId),
      text: data.text,
    })),
    pictures: pictures.map(({ row: { subjectId, step, at, personId }, file }) => ({
      subject: labelOf(subjectId),
      step: state.steps.find((each) => each.step.id === step)?.step.action ?? null,
      at,
      by: nameOf(personId),
      file: file.name,
      sha256: file.sha256,
    })),
  };
}

async function inWords(view: View, findings: readonly ReportedFinding[]): Promise<ReportedFinding[]> {
  const said = await gateWords(view);
  return findings.map((each) => ({
    ...each,
    what: said(each.what),
    measured: each.measured && said(each.measured),
    against: each.against && said(each.against),
  }));
}

function peopleIn({ run, events }: LoadedRun, releases: readonly ReleaseDto[]): string[] {
  return [
    run.personId,
    ...releases.map(({ signature }) => signature.personId),
    ...events.flatMap((event) => [
      event.personId,
      ...(event.kind === 'step-ended' && event.data.judgedBy ? [event.data.judgedBy] : []),
      ...(event.kind === 'supervised' ? [event.data.supervisor] : []),
    ]),
  ];
}

/** A slide is whose the specimen is that it was cut from. */
async function reportedSubjects(view: View, { subjects }: LoadedRun): Promise<ReportedSubject[]> {
  const details = await subjectsOf(
    view,
    subjects.map(({ subjectId }) => subjectId),
  );
  const owners = details.flatMap(({ id, parentId }) => [id, ...(parentId === null ? [] : [parentId])]);
  const sealed = await view.all(SealedRow, { ownerId: In(owners), kind: In([...IDENTIFIER_KINDS]) });
  return subjects.flatMap(({ subjectId, role }): ReportedSubject[] => {
    const found: SubjectRow | undefined = details.find(({ id }) => id === subjectId);
    if (!found) return [];
    const { label, description, kind, takenAt, parentId } = found;
    const identifiers = IDENTIFIER_KINDS.flatMap((each) => {
      const own = sealed.find((value) => value.kind === each && value.ownerId === subjectId);
      const row = own ?? sealed.find((value) => value.kind === each && value.ownerId === parentId);
      return row ? [{ kind: each, value: row.value }] : [];
    });
    return [{ id: subjectId, label, description, kind, role, takenAt, identifiers }];
  });
}

async function reportedReagents(
  view: View,
  { containers }: RunFacts,
  state: RunState,
  findings: readonly ReportedFinding[],
): Promise<ReportedReagent[]> {
  const lots = await view.all(LotRow, { id: In(containers.map(({ lot }) => lot.id)) });
  const names = new Map((await catalogue(view)).map(({ code, name }) => [code, name]));
  const places = new Map(state.tray.map((place) => [`${place.container} ${place.step ?? ''}`, place]));
  return [...places.values()].flatMap(({ container: id, step, mark }): ReportedReagent[] => {
    const container = containers.find((each) => each.id === id);
    const lot = lots.find((each) => each.id === container?.lot.id);
    if (!container || !lot) return [];
    return [
      {
        name: names.get(container.reagent) ?? container.reagent,
        container: container.label,
        lot: lot.number,
        source: lot.source,
        expiry: lot.expiry,
        expirySetHere: lot.expirySetHere === true,
        limit: firstLimit(container.limits),
        trayedAt: mark.stamp.at,
        step: state.steps.find((each) => each.step.id === step)?.step.action ?? null,
        against: [...new Set(findings.filter((each) => aboutOf(each) === id).map(({ rule }) => ruleTitle(rule)))],
      },
    ];
  });
}

function firstLimit(limits: readonly Limit[]): Limit | null {
  return limits.reduce<Limit | null>((first, each) => (first && first.until <= each.until ? first : each), null);
}

/** What a finding is about: a step, a container, a control, a specimen. */
function aboutOf({ id, rule }: Pick<ReportedFinding, 'id' | 'rule'>): string {
  return id.slice(rule.length + 1);
}

function reportedControls(
  { controls: { plan }, subjects }: RunFacts,
  state: RunState,
  findings: readonly ReportedFinding[],
  nameOf: (personId: string) => string,
): ReportedControl[] {
  const readings = controlReadings(state.events);
  return plan.controls.map(({ id, kind, required, expected }) => ({
    id,
    kind,
    required,
    expected,
    readings: subjects
      .filter(({ role, control }) => role === 'control' && control === id)
      .map(({ id: subjectId, label }) => {
        const read = readings.get(subjectId);
        return {
          label,
          observed: read?.data.observed ?? null,
          passed: read?.data.passed ?? null,
          by: read ? nameOf(read.personId) : null,
          at: read?.stamp.at ?? null,
          second: read?.second ?? 'none',
        };
      }),
    open: findings
      .filter((each) => each.rule.startsWith('control-') && aboutOf(each).split(':')[0] === id)
      .map(({ what }) => what),
  }));
}

function reportedResults({ subjects }: Judgement, releases: readonly ReleaseDto[]): ReportedResult[] {
  return subjects.flatMap(({ subjectId, label, points }) =>
    points.map(({ point, title, verdict, findings }) => ({
      subject: label,
      point: title,
      verdict,
      reached: isReached(findings),
      releases: releases
        .filter((each) => each.subjectId === subjectId && each.point === point)
        .map(({ kind, words, standing, signature, marks, judgedTo, place, withdrawal, questions }) => ({
          kind,
          words,
          standing,
          at: signature.at,
          marks,
          judgedTo,
          place,
          withdrawn: withdrawal && { at: withdrawal.at, reason: withdrawal.reason },
          questions: questions.map(({ reason, outcome }) => ({ reason, outcome })),
        }))
        .reverse(),
    })),
  );
}

function isReached(findings: PointJudgement['findings']): boolean {
  return !findings.some(({ rule }) => rule === 'point-not-reached');
}

/** The signatures under the revision that was run. */
async function approvals(view: View, { revision }: LoadedRun, upToSeq: number): Promise<ReportedSignature[]> {
  const histories = await revisionHistories(view, revision.protocolId, upToSeq);
  const own = histories.find(({ id }) => id === revision.id);
  return (own?.acts ?? []).flatMap(({ kind, data: { signature } }) =>
    signature ? [signed(signature, `protocol revision ${revision.number} ${kind}`)] : [],
  );
}

function signaturesOf(
  state: RunState,
  releases: readonly ReleaseDto[],
  labelOf: (subjectId: string) => string,
): ReportedSignature[] {
  const attested = eventsOf(state.events, 'attested').map(({ data }) =>
    signed(data.signature, `identity of ${labelOf(data.subject)}: “${data.statement}”`),
  );
  const released = releases.flatMap(({ kind, subjectId, signature, exception, withdrawal }) => {
    const what = `${kind}, ${labelOf(subjectId)}`;
    return [
      signed(signature, `release of ${what}`),
      ...(exception ? [signed(exception.second, `exception for the release of ${what}`)] : []),
      ...(withdrawal ? [signed(withdrawal.signature, `withdrawal of ${what}, told to: ${withdrawal.told}`)] : []),
    ];
  });
  return [...attested, ...released].sort((a, b) => (a.at < b.at ? -1 : 1));
}

function signed(
  { name, at, meaning, recordHash }: ReportedSignature | ReleaseDto['signature'],
  of: string,
): ReportedSignature {
  return { name, at, meaning, of, recordHash };
}

async function spokenAnswers(
  view: View,
  state: RunState,
  { nameOf, labelOf }: { nameOf: (personId: string) => string; labelOf: (subjectId: string) => string },
): Promise<RunReport['answers']> {
  const answered = eventsOf(state.events, 'answered');
  const words = await sealedValues(
    view,
    answered.map(({ data }) => data.words),
  );
  return answered.map(({ personId, stamp, data }) => ({
    subject: labelOf(data.subject),
    at: stamp.at,
    by: nameOf(personId),
    listener: data.listener,
    readBack: data.readBack,
    verdict: data.verdict,
    words: words.get(data.words) ?? null,
  }));
}
