import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { ReleaseDto, RunListDto } from '../../contract/run-view.dto.js';
import type { NewAnswerDto, NewReleaseDto, NewRunDto, NewRunEventDto } from '../../contract/runs.dto.js';
import type { Finding } from '../../core/gate/finding.js';
import { judge, type Judgement, type PointJudgement } from '../../core/gate/judge.js';
import { whyUnusable } from '../../core/lot/facts.js';
import type { UnusableReason } from '../../core/lot/validity.js';
import { inForce } from '../../core/protocol/lifecycle.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import { checkEvent, checkNewRun, needPoint } from '../../core/run/accept.js';
import type { RunEvent, RunEventData, RunEventKind } from '../../core/run/events.js';
import { runState } from '../../core/run/state.js';
import type { RunView } from '../../core/run/view.js';
import { controlUnreadAt, stepOverAt } from '../../jobs/due.js';
import { JOB_NAMES } from '../../jobs/names.js';
import { useBaths } from '../../store/acts/use-baths.js';
import { useOnTray } from '../../store/acts/use-on-tray.js';
import { bookRun } from '../../store/acts/book-run.js';
import { correctReading, recordReading } from '../../store/acts/record-reading.js';
import { containerFacts, knownContainer } from '../../store/questions/containers.js';
import { planAt } from '../../store/questions/control-plans.js';
import { lastSeq } from '../../store/questions/entries.js';
import { questionsOn } from '../../store/questions/lookbacks.js';
import {
  addRunEvent,
  benchRunIds,
  type LoadedRun,
  loadRun,
  runFacts,
  runView,
  recentRuns,
  revisionOf,
} from '../../store/questions/runs.js';
import { revisionHistories } from '../../store/questions/revisions.js';
import { sealedValues } from '../../store/questions/sealed.js';
import { subjectsOf } from '../../store/questions/subjects.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import { RevisionRow } from '../../store/rows/protocols.entity.js';
import { BenchRunRow, ReleaseRow, RunRow, RunSubjectRow } from '../../store/rows/runs.entity.js';
import { Store } from '../../store/store.js';
import type { Actor, Unit } from '../../store/unit.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';

@Injectable()
export class RunsService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly signing: Signing,
  ) {}

  async start(acting: Acting, wanted: NewRunDto, key: string | undefined): Promise<RunView> {
    const runId = await this.store.change(
      acting,
      'run.started',
      async (unit) => {
        const revision = await revisionOf(unit, wanted.revisionId);
        const { controls } = await planAt(unit, revision.content, unit.at);
        const planned = [...revision.content.controls, ...controls].map(({ id }) => id);
        checkNewRun(revision.content, wanted.purpose, wanted.subjects, [...new Set(planned)]);
        await needInForce(unit, revision, wanted.purpose);
        await checkSubjects(unit, wanted.subjects);
        const { station, purpose } = wanted;
        const run = await unit.insert(RunRow, {
          revisionId: revision.id,
          station,
          purpose,
          startedAt: unit.at,
          personId: unit.personId,
        });
        for (const { subjectId, role, control } of wanted.subjects) {
          await unit.insert(RunSubjectRow, { runId: run.id, subjectId, role, control: control ?? null });
        }
        await unit.add(BenchRunRow, { runId: run.id, station });
        if (revision.content.controls.some(({ required }) => required)) {
          await unit.enqueue(JOB_NAMES.controlUnread, run.id, controlUnreadAt(unit.at));
        }
        unit.about('run', run.id, { revision: revision.id, station, purpose });
        return run.id;
      },
      onceOf(key, wanted),
    );
    return this.view(acting, runId);
  }

  async view(actor: Actor, runId: string): Promise<RunView> {
    return this.store.read(actor.laboratoryId, async (view) => runView(view, await loadRun(view, runId)));
  }

  async recent(actor: Actor, take: number, after: string | undefined): Promise<RunListDto> {
    const items = await this.store.read(actor.laboratoryId, (view) => recentRuns(view, take, after));
    return { items, next: items.length < take ? null : (items.at(-1)?.id ?? null) };
  }

  bench(actor: Actor): Promise<RunView[]> {
    return this.store.read(actor.laboratoryId, async (view) => {
      const runs: RunView[] = [];
      for (const id of await benchRunIds(view)) runs.push(await runView(view, await loadRun(view, id)));
      return runs;
    });
  }

  /** Keeps a bench event; of a container put on the tray it also tells why it may not be used, if so. */
  async record(
    acting: Acting,
    runId: string,
    { kind, data, stamp }: NewRunEventDto,
    key: string | undefined,
  ): Promise<{ event: RunEvent; unusable: UnusableReason[] }> {
    return this.store.change(
      acting,
      `run.${kind}`,
      async (unit) => {
        const loaded = await loadRun(unit, runId);
        const filled = await filledIn(unit, loaded, kind, { ...data } as RunEventData[typeof kind]);
        const event = await this.append(unit, loaded, kind, filled, stamp);
        return { event, unusable: await unusableOnTray(unit, loaded, event) };
      },
      onceOf(key, { runId, kind, data, stamp }),
    );
  }

  async judgement(actor: Actor, runId: string): Promise<Judgement> {
    return this.store.read(actor.laboratoryId, async (view) =>
      judge(await runFacts(view, await loadRun(view, runId), await lastSeq(view))),
    );
  }

  /** Keeps what was said before it is signed, with what the gate said at that moment. */
  answer(
    acting: Acting,
    runId: string,
    said: NewAnswerDto,
    key: string | undefined,
  ): Promise<{ event: RunEvent; judgement: PointJudgement }> {
    return this.store.change(
      acting,
      'run.answered',
      async (unit) => {
        const loaded = await loadRun(unit, runId);
        const { subjectId, point, listener, readBack, stamp } = said;
        const judgement = judgementOf(await this.judgeNow(unit, loaded), loaded, subjectId, point);
        const words = await unit.seal(runId, 'words', said.words);
        const data = {
          subject: subjectId,
          point,
          words,
          listener,
          readBack,
          verdict: judgement.verdict,
          findings: judgement.findings.map(({ id }) => id),
        };
        return { event: await this.append(unit, loaded, 'answered', data, stamp), judgement };
      },
      onceOf(key, { runId, ...said }),
    );
  }

  /** The signed act that lets a result out; refused while the gate holds it. */
  async release(acting: Acting, runId: string, wanted: NewReleaseDto, key: string | undefined): Promise<ReleaseDto> {
    const { subjectId, point, kind, words, password } = wanted;
    if (kind !== 'stained material' && words === undefined) {
      throw new Refusal('invalid', 'words-missing', `A release of "${kind}" needs its words.`, [
        { at: 'words', message: `say the ${kind}` },
      ]);
    }
    const signer = await this.signing.confirm(acting, password);
    const released = await this.store.change(
      acting,
      'run.released',
      async (unit) => {
        const loaded = await loadRun(unit, runId);
        const { rules, judgedTo, ...judgement } = await this.judgeNow(unit, loaded);
        const { verdict, findings } = judgementOf({ ...judgement, rules, judgedTo }, loaded, subjectId, point);
        if (verdict === 'held') {
          const stops = findings.filter(({ weight, settled }) => weight !== 'note' && !settled);
          throw new Refusal(
            'held',
            'held',
            `The gate holds this: ${stops.map(({ what }) => what).join(' ')}`,
            stops.map(({ id, mend }) => ({ at: id, message: mend })),
            { findings },
          );
        }
        if (await unit.one(ReleaseRow, { runId, subjectId, point, kind })) {
          throw new Refusal('conflict', 'released-already', `This ${kind} was released already; amend it instead.`);
        }
        const wordsId = words === undefined ? null : await unit.seal(runId, kind, words);
        const record = { runId, subjectId, point, kind, wordsId, verdict, findings, judgedTo, rules };
        const signature = signatureOf(signer, 'release', record, unit.at);
        const release = await unit.insert(ReleaseRow, { ...record, signature });
        unit.about('run', runId, { release: release.id, subject: subjectId, point, kind, judgedTo, rules });
        return release;
      },
      onceOf(key, { runId, subjectId, point, kind, words }),
    );
    return { ...released, words: words ?? null, questions: [] };
  }

  /** Releases with their words, the newest first. */
  releases(actor: Actor, runId: string | undefined): Promise<ReleaseDto[]> {
    return this.store.read(actor.laboratoryId, async (view) => {
      const choice = runId === undefined ? {} : { runId };
      return withWords(view, await view.all(ReleaseRow, choice, { order: { seq: 'DESC' }, take: 200 }));
    });
  }

  /** Inside a unit nothing can come between the facts and what is decided on them. */
  private async judgeNow(unit: Unit, loaded: LoadedRun): Promise<Judgement> {
    return judge(await runFacts(unit, loaded, unit.seq - 1));
  }

  private async append<K extends RunEventKind>(
    unit: Unit,
    loaded: LoadedRun,
    kind: K,
    data: RunEventData[K],
    stamp: RunEvent['stamp'],
  ): Promise<RunEvent> {
    const { run, revision, subjects, events } = loaded;
    const protocol = revision.content;
    const container = kind === 'tray-scanned' ? (data as RunEventData['tray-scanned']).container : null;
    const known = container !== null && (await knownContainer(unit, container));
    checkEvent(kind, data, stamp, {
      protocol,
      subjects: subjects.map(({ id, subjectId, role, control }) => ({
        id,
        subjectId,
        role,
        ...(control === null ? {} : { control }),
      })),
      state: runState(protocol, events),
      events,
      knownContainer: () => known,
      findings: kind === 'acknowledged' || kind === 'resolved' ? findingsOf(await this.judgeNow(unit, loaded)) : [],
      personId: unit.personId,
      now: this.clock.now(),
    });
    const event = await addRunEvent(unit, loaded, { kind, data, stamp: { ...stamp } });
    if (event.kind === 'tray-scanned') await useOnTray(unit, event);
    await useBaths(unit, loaded, kind);
    if (kind === 'step-started')
      await this.watch(unit, loadedStep(protocol, (data as RunEventData['step-started']).step), event);
    if (event.kind === 'control-read') await recordReading(unit, loaded, event);
    if (event.kind === 'corrected') await correctReading(unit, event);
    if (kind === 'cleared' || kind === 'abandoned') await bookRun(unit, loaded, event);
    if (kind === 'cleared') await unit.remove(BenchRunRow, { runId: run.id });
    unit.about('run', run.id, { event: event.id });
    return event;
  }

  /** Announces a step that is still running when its longest time is over. */
  private async watch(unit: Unit, step: LoadedStep, event: RunEvent): Promise<void> {
    const overAt = stepOverAt(event.stamp.at, step);
    if (overAt !== null) await unit.enqueue(JOB_NAMES.stepOver, event.id, overAt);
  }
}

type LoadedStep = RevisionRow['content']['steps'][number];

function loadedStep(protocol: RevisionRow['content'], id: string): LoadedStep {
  return protocol.steps.find((step) => step.id === id) as LoadedStep;
}

async function withWords(view: View, rows: readonly ReleaseRow[]): Promise<ReleaseDto[]> {
  const words = await sealedValues(
    view,
    rows.flatMap(({ wordsId }) => wordsId ?? []),
  );
  const questions = await questionsOn(view, [...new Set(rows.map(({ runId }) => runId))]);
  return rows.map((row) => ({
    ...row,
    words: words.get(row.wordsId ?? '') ?? null,
    questions: (questions.get(`${row.runId} ${row.subjectId}`) ?? []).map(
      ({ lookbackId, cause, reason, openedAt, outcome }) => ({ lookbackId, cause, reason, openedAt, outcome }),
    ),
  }));
}

function findingsOf({ subjects }: Judgement): Finding[] {
  return subjects.flatMap(({ points }) => points.flatMap(({ findings }) => findings));
}

function judgementOf(judgement: Judgement, { revision }: LoadedRun, subjectId: string, point: string): PointJudgement {
  needPoint(revision.content, point);
  const found = judgement.subjects
    .find((subject) => subject.subjectId === subjectId)
    ?.points.find((each) => each.point === point);
  if (found) return found;
  const ids = judgement.subjects.map((subject) => subject.subjectId).join(', ');
  throw new Refusal(
    'invalid',
    'no-such-subject',
    `"${subjectId}" is no patient's specimen or slide in this run; it has ${ids || 'none'}.`,
  );
}

async function checkSubjects(unit: Unit, subjects: NewRunDto['subjects']): Promise<void> {
  const known = await subjectsOf(
    unit,
    subjects.map(({ subjectId }) => subjectId),
  );
  for (const { subjectId, role } of subjects) {
    const found = known.find(({ id }) => id === subjectId);
    if (!found) throw new Refusal('not-found', 'not-found', `There is no specimen, slide or control ${subjectId}.`);
    if (role === 'patient' && found.kind === 'control') {
      throw new Refusal(
        'invalid',
        'control-as-patient',
        `${found.label} is control material; give it the role "control".`,
      );
    }
  }
}

async function needInForce(unit: Unit, revision: RevisionRow, purpose: string): Promise<void> {
  if (purpose !== 'patients') return;
  const all = await revisionHistories(unit, revision.protocolId);
  const own = all.find(({ id }) => id === revision.id);
  if (own && inForce(own, all, unit.at)) return;
  throw new Refusal(
    'conflict',
    'revision-not-in-force',
    `Revision ${revision.number} of ${revision.title} is not in force; run an approved one whose effective date has come, or start a run for acceptance or training.`,
  );
}

/** A step ended by eye was judged by whoever says so, unless another is named. */
async function filledIn<K extends RunEventKind>(
  unit: Unit,
  { revision }: LoadedRun,
  kind: K,
  data: RunEventData[K],
): Promise<RunEventData[K]> {
  if (kind === 'supervised') {
    const { supervisor } = data as RunEventData['supervised'];
    await unit.need(PersonRow, { id: supervisor }, `person ${supervisor}`);
    if (supervisor === unit.actor.personId) {
      const message = 'Somebody else supervises a trainee; name that person.';
      throw new Refusal('invalid', 'own-supervisor', message, [{ at: 'data.supervisor', message }]);
    }
  }
  if (kind !== 'step-ended') return data;
  const ended = data as RunEventData['step-ended'];
  const byEye = revision.content.steps.find(({ id }) => id === ended.step)?.end === 'eye';
  if (!byEye) return data;
  if (ended.judgedBy !== undefined) await unit.need(PersonRow, { id: ended.judgedBy }, `person ${ended.judgedBy}`);
  return { ...ended, judgedBy: ended.judgedBy ?? unit.personId } as RunEventData[K];
}

/** Why the container that an event put on the tray may not be used; of any other event, nothing. */
async function unusableOnTray(unit: Unit, { run }: LoadedRun, event: RunEvent): Promise<UnusableReason[]> {
  if (event.kind !== 'tray-scanned') return [];
  const [container] = await containerFacts(unit, [event.data.container]);
  return container ? whyUnusable(container, event.data.reagent, event.stamp, run.purpose === 'patients') : [];
}
