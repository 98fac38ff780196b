import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { FindListDto } from '../../contract/list.dto.js';
import type { RunListDto, StoodRunListDto } from '../../contract/run-view.dto.js';
import type { NewRunEventDto } from '../../contract/run-events.dto.js';
import type { PaperEntryDto } from '../../contract/paper-sheets.dto.js';
import type { NewAnswerDto, NewAttestationDto, NewLostDeviceDto, NewRunDto } from '../../contract/runs.dto.js';
import type { Finding } from '../../core/gate/finding.js';
import { judge, type Judgement, needJudgement, type PointJudgement } from '../../core/gate/judge.js';
import type { UnusableReason } from '../../core/lot/validity.js';
import type { Role } from '../../core/people/roles.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import { checkEvent, checkNewRun } from '../../core/run/accept.js';
import type { BenchStamp, RunEvent, RunEventData, RunEventKind } from '../../core/run/events.js';
import { passText } from '../../core/run/day-pass.js';
import { paperEvents } from '../../core/run/paper-sheet.js';
import { runState } from '../../core/run/state.js';
import type { RunView } from '../../core/run/view.js';
import { controlUnreadAt, stepOverAt } from '../../jobs/due.js';
import { JOB_NAMES } from '../../jobs/names.js';
import { useBaths } from '../../store/acts/use-baths.js';
import { useOnTray } from '../../store/acts/use-on-tray.js';
import { bookRun } from '../../store/acts/book-run.js';
import { lookAgainAtBaths, lookAgainAtRun } from '../../store/acts/look-again-at-run.js';
import { correctReading, recordReading } from '../../store/acts/record-reading.js';
import { knownContainer } from '../../store/questions/containers.js';
import { controlsOffered } from '../../store/questions/control-plans.js';
import { personOfPass } from '../../store/questions/day-passes.js';
import { lastSeq } from '../../store/questions/entries.js';
import { judgeNow } from '../../store/questions/judgement.js';
import {
  addRunEvent,
  benchRunIds,
  type LoadedRun,
  loadRun,
  runFacts,
  type RunSummary,
  runView,
  recentRuns,
  revisionOf,
} from '../../store/questions/runs.js';
import { runStandings } from '../../store/questions/run-standings.js';
import { labelsInRuns } from '../../store/questions/subjects.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import { RevisionRow } from '../../store/rows/protocols.entity.js';
import { BenchRunRow, RunRow, RunSubjectRow } from '../../store/rows/runs.entity.js';
import { Store } from '../../store/store.js';
import type { Actor, Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';
import type { LabelledRun } from './run-columns.js';
import { saidByWhom } from './doubled.js';
import { checkSubjects, filledIn, needInForce, unusableOnTray } from './run-checks.js';
import { enterFromSheet, needOpenSheet, needSheetOf } from './sheet-of-run.js';

/** Roles of those who may sign that a device is lost. */
const MAY_ANSWER: readonly Role[] = ['technician', 'releaser', 'manager', 'director'];

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
        const { fromSheet } = wanted;
        const sheet = fromSheet ? await needOpenSheet(unit, fromSheet, wanted.revisionId) : null;
        const startedAt = fromSheet?.startedAt ?? unit.at;
        const revision = await revisionOf(unit, wanted.revisionId);
        const controls = await controlsOffered(unit, revision.content, startedAt);
        const planned = controls.map(({ id }) => id);
        checkNewRun(revision.content, wanted.purpose, wanted.subjects, planned);
        await needInForce(unit, revision, wanted.purpose, startedAt);
        await checkSubjects(unit, wanted.subjects);
        const { station, purpose } = wanted;
        const run = await unit.insert(RunRow, {
          revisionId: revision.id,
          station,
          purpose,
          startedAt,
          personId: unit.personId,
        });
        for (const { subjectId, role, control } of wanted.subjects) {
          await unit.insert(RunSubjectRow, { runId: run.id, subjectId, role, control: control ?? null });
        }
        await unit.add(BenchRunRow, { runId: run.id, station });
        if (controls.some(({ required }) => required)) {
          await unit.enqueue(JOB_NAMES.controlUnread, run.id, controlUnreadAt(startedAt));
        }
        if (sheet) await enterFromSheet(unit, await loadRun(unit, run.id), sheet, fromSheet);
        unit.about('run', run.id, {
          revision: revision.id,
          station,
          purpose,
          ...(sheet && { paperSheet: sheet.number }),
        });
        return run.id;
      },
      onceOf(key, wanted),
    );
    return this.view(acting, runId);
  }

  async view(actor: Actor, runId: string): Promise<RunView> {
    return this.store.read(actor.laboratoryId, async (view) => runView(view, await loadRun(view, runId)));
  }

  async recent(actor: Actor, { take, ...asked }: FindListDto): Promise<RunListDto> {
    const items = await this.store.read(actor.laboratoryId, (view) => recentRuns(view, { take, ...asked }));
    return { items, next: nextAfter(items, take) };
  }

  /** The same runs with where they stand; the first part names what is older and still on a bench as well. */
  async standings(actor: Actor, { take, after, find }: FindListDto): Promise<StoodRunListDto> {
    return this.store.read(actor.laboratoryId, async (view) => {
      const listed = await recentRuns(view, { take, after, find });
      const onBench = after === undefined && !find?.trim() ? await recentRuns(view, { onBench: true }) : [];
      const older = onBench.filter(({ id }) => !listed.some((run) => run.id === id));
      const stood = await runStandings(
        view,
        [...listed, ...older].map(({ id }) => id),
      );
      const withStandings = (run: RunSummary) => ({ ...run, subjects: stood.get(run.id) ?? [] });
      return { items: listed.map(withStandings), older: older.map(withStandings), next: nextAfter(listed, take) };
    });
  }

  /** The same runs with the labels of what they stain. */
  async labelled(actor: Actor, asked: FindListDto): Promise<{ items: LabelledRun[]; next: string | null }> {
    const { items, next } = await this.recent(actor, asked);
    const ids = items.map(({ id }) => id);
    const labels = await this.store.read(actor.laboratoryId, (view) => labelsInRuns(view, ids));
    return { items: items.map((run) => ({ ...run, labels: labels.get(run.id) ?? [] })), next };
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
    { kind, data, stamp, pass }: NewRunEventDto,
    key: string | undefined,
  ): Promise<{ event: RunEvent; unusable: UnusableReason[] }> {
    const text = (id: string): string => passText({ pass: id, key: key ?? '', runId, kind, data, stamp });
    const personId = pass
      ? await this.store.read(acting.laboratoryId, async (view) => {
          const { id } = await personOfPass(view, pass, text, stamp.at);
          return id;
        })
      : acting.personId;
    return this.store.change(
      { ...acting, personId },
      `run.${kind}`,
      async (unit) => {
        const loaded = await loadRun(unit, runId);
        const filled = await filledIn(unit, loaded, kind, { ...data } as RunEventData[typeof kind]);
        if (pass) await personOfPass(unit, pass, text, stamp.at);
        const entered = { ...stamp, ...(pass && { pass: { ...pass } }) };
        const event = await this.append(unit, loaded, kind, filled, entered).catch(async (error: unknown) => {
          throw await saidByWhom(unit, error, { ...loaded, ...data, device: stamp.device });
        });
        if (pass) unit.about('run', runId, { event: event.id, pass: pass.id, sentBy: acting.personId });
        return { event, unusable: await unusableOnTray(unit, loaded, event) };
      },
      onceOf(key, { runId, kind, data, stamp: asEntered(stamp), ...(pass && { pass: pass.id }) }),
    );
  }

  async judgement(actor: Actor, runId: string): Promise<Judgement> {
    return this.store.read(actor.laboratoryId, async (view) =>
      judge(await runFacts(view, await loadRun(view, runId), await lastSeq(view))),
    );
  }

  /** Keeps the collector's signed word on whose specimen it is. */
  async attest(
    acting: Acting,
    runId: string,
    asked: NewAttestationDto,
    key: string | undefined,
  ): Promise<{ event: RunEvent }> {
    const { subjectId, statement, login, password, stamp } = asked;
    const collector = await this.signing.confirmOther(login, password, 'password');
    return this.store.change(
      acting,
      'run.attested',
      async (unit) => {
        const loaded = await loadRun(unit, runId);
        const signature = signatureOf(collector, 'responsibility', { runId, subjectId, statement }, unit.at);
        const data = { subject: subjectId, statement, signature };
        return { event: await this.append(unit, loaded, 'attested', data, stamp) };
      },
      onceOf(key, { runId, subjectId, statement, login }),
    );
  }

  /** Keeps the word of two people that what a device may still hold of the run will never come. */
  async lose(
    acting: Acting,
    runId: string,
    asked: NewLostDeviceDto,
    key: string | undefined,
  ): Promise<{ event: RunEvent }> {
    const { device, reason, password, secondLogin, secondPassword, stamp } = asked;
    const signers = [
      await this.signing.confirm(acting, password),
      await this.signing.confirmOther(secondLogin, secondPassword, 'secondPassword'),
    ];
    if (signers[0]?.personId === signers[1]?.personId) {
      const message = 'This takes two people; name another.';
      throw new Refusal('invalid', 'same-signer', message, [{ at: 'secondLogin', message }]);
    }
    await this.needWorker(acting, signers[1]?.personId ?? '');
    return this.store.change(
      acting,
      'run.device-lost',
      async (unit) => {
        const loaded = await loadRun(unit, runId);
        const record = { runId, device, reason };
        const signatures = signers.map((signer) => signatureOf(signer, 'responsibility', record, unit.at));
        return { event: await this.append(unit, loaded, 'device-lost', { device, reason, signatures }, stamp) };
      },
      onceOf(key, { ...asked, runId, password: null, secondPassword: null, stamp: asEntered(stamp) }),
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
        const judgement = needJudgement(await judgeNow(unit, loaded), loaded.revision.content, subjectId, point);
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

  /** Keeps, in one act, what stands on the sheet that a run was entered from; each time with the uncertainty of its clock. */
  enterSheet(acting: Acting, runId: string, entry: PaperEntryDto, key: string | undefined): Promise<RunEvent[]> {
    return this.store.change(
      acting,
      'run.paper-entered',
      async (unit) => {
        const loaded = await loadRun(unit, runId);
        const { number } = await needSheetOf(unit, runId);
        const events: RunEvent[] = [];
        for (const { kind, data, stamp } of paperEvents(number, entry, unit.at)) {
          const filled = await filledIn(unit, loaded, kind, data);
          events.push(await this.append(unit, loaded, kind, filled, stamp));
        }
        unit.about('run', runId, { paperSheet: number, events: events.length });
        return events;
      },
      onceOf(key, { runId, ...entry }),
    );
  }

  /** Whoever stands beside a signer answers for work here; a reviewer or an administrator does not. */
  private async needWorker({ laboratoryId }: Acting, id: string): Promise<void> {
    const { name, roles } = await this.store.read(laboratoryId, (view) => view.need(PersonRow, { id }, 'such person'));
    if (roles.some((role) => MAY_ANSWER.includes(role))) return;
    const message = `${name} does no work that this is about; name a technician, a releaser, a manager or a director.`;
    throw new Refusal('forbidden', 'second-not-allowed', message, [{ at: 'secondLogin', message }]);
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
    const state = runState(protocol, events);
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
      controls: kind === 'control-read' ? await controlsOffered(unit, protocol, run.startedAt) : [],
      state,
      events,
      knownContainer: () => known,
      findings: kind === 'acknowledged' || kind === 'resolved' ? findingsOf(await judgeNow(unit, loaded)) : [],
      personId: unit.personId,
      now: this.clock.now(),
    });
    const event = await addRunEvent(unit, loaded, { kind, data, stamp: { ...stamp } });
    if (event.kind === 'tray-scanned') await useOnTray(unit, event);
    const loads = await useBaths(unit, loaded, kind);
    if (kind === 'step-started')
      await this.watch(unit, loadedStep(protocol, (data as RunEventData['step-started']).step), event);
    if (event.kind === 'control-read') await recordReading(unit, loaded, event);
    if (event.kind === 'corrected') await correctReading(unit, event);
    await lookAgainAtRun(unit, loaded, event);
    await lookAgainAtBaths(unit, run.id, loads);
    const tookMore = state.cleared && (kind === 'tray-scanned' || kind === 'step-started');
    if (kind === 'cleared' || kind === 'abandoned' || tookMore) await bookRun(unit, loaded, event);
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

/** A stamp but for what only its sending says, so that each try to send an event is the same. */
function asEntered({ unsent: _, ...stamp }: BenchStamp): Omit<BenchStamp, 'unsent'> {
  return stamp;
}

type LoadedStep = RevisionRow['content']['steps'][number];

function loadedStep(protocol: RevisionRow['content'], id: string): LoadedStep {
  return protocol.steps.find((step) => step.id === id) as LoadedStep;
}

/** What to ask with for the part after this one; null at the end. */
function nextAfter(items: readonly RunSummary[], take: number): string | null {
  return items.length < take ? null : (items.at(-1)?.id ?? null);
}

function findingsOf({ subjects }: Judgement): Finding[] {
  return subjects.flatMap(({ points }) => points.flatMap(({ findings }) => findings));
}
