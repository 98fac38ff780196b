import { Injectable } from '@nestjs/common';
import type {
  ResultHoldDto,
  NewResultHoldDto,
  NewReleaseDto,
  NewUpholdingDto,
  SecondSignerDto,
  NewWithdrawalDto,
  ReleaseDto,
} from '../../contract/releases.dto.js';
import { needJudgement, type PointJudgement } from '../../core/gate/judge.js';
import type { Signature } from '../../core/record/signed.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import { lookStanding, secondNeeded } from '../../core/second-look/second-look.js';
import { excusable, holding, type ReleaseException, refuseHeld } from '../../core/release/release.js';
import { judgeNow } from '../../store/questions/judgement.js';
import { releasesOf } from '../../store/questions/releases.js';
import { Asking, lookQuestionsOn, upheldOf } from '../../store/questions/second-looks.js';
import { type LoadedRun, loadRun } from '../../store/questions/runs.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import { ReleaseHoldRow, ReleaseWithdrawalRow } from '../../store/rows/releases.entity.js';
import { ReleaseRow } from '../../store/rows/runs.entity.js';
import { ReleaseUpheldRow } from '../../store/rows/second-looks.entity.js';
import { Store } from '../../store/store.js';
import type { Actor, Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';

type Signer = Awaited<ReturnType<Signing['confirm']>>;

@Injectable()
export class ReleasesService {
  constructor(
    private readonly store: Store,
    private readonly signing: Signing,
  ) {}

  /** Releases with their words, the newest first. */
  list(actor: Actor, runId: string | undefined): Promise<ReleaseDto[]> {
    return this.store.read(actor.laboratoryId, (view) => releasesOf(view, runId));
  }

  /** The signed act that lets a result out; refused while the gate holds it, unless by a signed exception. */
  async release(acting: Acting, runId: string, wanted: NewReleaseDto, key: string | undefined): Promise<ReleaseDto> {
    const { subjectId, point, kind, words, amends, answer, place, exception, password } = wanted;
    if (kind !== 'stained material' && words === undefined) {
      throw refused('words-missing', 'words', `A release of "${kind}" needs its words.`);
    }
    const signer = await this.signing.confirm(acting, password);
    const second =
      exception &&
      (await this.secondSigner(acting, {
        login: exception.secondLogin,
        password: exception.secondPassword,
        at: { login: 'exception.secondLogin', password: 'exception.secondPassword' },
      }));
    const id = await this.store.change(
      acting,
      amends === undefined ? 'run.released' : 'run.release-amended',
      async (unit) => {
        const loaded = await loadRun(unit, runId);
        const { rules, judgedTo, subjects } = await judgeNow(unit, loaded);
        const judgement = needJudgement({ rules, judgedTo, subjects }, loaded.revision.content, subjectId, point);
        refuseHeld(await unit.all(ReleaseHoldRow, { runId, subjectId }, { order: { seq: 'ASC' } }));
        await refuseTwice(unit, { runId, subjectId, point, kind, amends });
        if (answer !== undefined) refuseOtherAnswer(loaded, answer, subjectId, point);
        const wordsId = words === undefined ? null : await unit.seal(runId, kind, words);
        const { verdict, findings } = judgement;
        const over = exceptionOver(judgement, exception?.reason);
        const record = {
          runId,
          subjectId,
          point,
          kind,
          wordsId,
          verdict,
          findings,
          judgedTo,
          rules,
          ...(amends !== undefined && { amends }),
          ...(answer !== undefined && { answerId: answer }),
          ...(place !== undefined && { place }),
        };
        const excused = over && second ? excusedBy(over, second, record, unit.at) : null;
        const signature = signatureOf(signer, 'release', { ...record, exception: excused }, unit.at);
        const release = await unit.insert(ReleaseRow, { ...record, exception: excused, signature });
        unit.about('run', runId, {
          release: release.id,
          subject: subjectId,
          point,
          kind,
          judgedTo,
          rules,
          ...(amends !== undefined && { amends }),
          ...(excused && { exception: excused.findings }),
        });
        return release.id;
      },
      onceOf(key, { runId, subjectId, point, kind, words, amends, answer, place, exception: exception?.reason }),
    );
    return this.one(acting, id, runId);
  }

  /** Takes a release back, signed; what it said stays readable with this beside it. */
  async withdraw(acting: Acting, id: string, asked: NewWithdrawalDto, key: string | undefined): Promise<ReleaseDto> {
    const { reason, told, password } = asked;
    const signer = await this.signing.confirm(acting, password);
    const runId = await this.store.change(
      acting,
      'run.release-withdrawn',
      async (unit) => {
        const release = await unit.need(ReleaseRow, { id }, `release ${id}`);
        if (await unit.one(ReleaseWithdrawalRow, { releaseId: id })) {
          throw new Refusal('conflict', 'withdrawn-already', 'This release was withdrawn already.');
        }
        const record = { releaseId: id, at: unit.at, reason, told };
        const signature = signatureOf(signer, 'responsibility', record, unit.at);
        await unit.insert(ReleaseWithdrawalRow, { ...record, signature });
        unit.about('run', release.runId, { release: id, withdrawn: true });
        await unit.tell(`withdrawn:${id}`, `A release was withdrawn: ${reason}`, release.runId);
        return release.runId;
      },
      onceOf(key, { id, reason, told }),
    );
    return this.one(acting, id, runId);
  }

  holds(actor: Actor, runId: string): Promise<ResultHoldDto[]> {
    return this.store.read(actor.laboratoryId, async (view) =>
      (await view.all(ReleaseHoldRow, { runId }, { order: { seq: 'ASC' } })).map(
        ({ subjectId, at, personId, holds, reason }) => ({ subjectId, at, personId, holds, reason }),
      ),
    );
  }

  /** Holds a result back whatever the gate says, or lets it go on; both with a reason. */
  async hold(
    acting: Acting,
    runId: string,
    asked: NewResultHoldDto,
    key: string | undefined,
  ): Promise<ResultHoldDto[]> {
    const { subjectId, holds, reason } = asked;
    await this.store.change(
      acting,
      holds ? 'run.result-held' : 'run.result-hold-lifted',
      async (unit) => {
        const { subjects } = await loadRun(unit, runId);
        if (!subjects.some((each) => each.subjectId === subjectId && each.role === 'patient')) {
          throw refused('no-such-subject', 'subjectId', 'This run has no such specimen or slide of a patient.');
        }
        const last = (await unit.all(ReleaseHoldRow, { runId, subjectId }, { order: { seq: 'ASC' } })).at(-1);
        if ((last?.holds ?? false) === holds) {
          throw new Refusal('conflict', 'unchanged', holds ? 'It is held back already.' : 'Nobody holds it back.');
        }
        await unit.insert(ReleaseHoldRow, {
          runId,
          subjectId,
          at: unit.at,
          personId: unit.personId,
          holds,
          reason,
        });
        unit.about('run', runId, { subject: subjectId, holds });
      },
      onceOf(key, { runId, ...asked }),
    );
    return this.holds(acting, runId);
  }

  /**
   * Says, signed, that a release stands after all: judged anew in the same act, and by two people where it stands over a
   * stop. The one other way out of question is that it is amended or withdrawn.
   */
  async uphold(acting: Acting, id: string, asked: NewUpholdingDto, key: string | undefined): Promise<ReleaseDto> {
    const { reason, second: beside, password } = asked;
    const signer = await this.signing.confirm(acting, password);
    const second =
      beside &&
      (await this.secondSigner(acting, { ...beside, at: { login: 'second.login', password: 'second.password' } }));
    const runId = await this.store.change(
      acting,
      'run.release-upheld',
      async (unit) => {
        const release = await unit.need(ReleaseRow, { id }, `release ${id}`);
        await refuseOver(unit, id, release.runId);
        const upheld = (await upheldOf(unit, [id])).get(id) ?? [];
        const upheldSeq = upheld.at(-1)?.seq ?? 0;
        const asking = (await lookQuestionsOn(unit, [id])).get(id) ?? [];
        const open = asking.filter(({ question, answer }) => (answer?.seq ?? question.seq) > upheldSeq);
        if (
          lookStanding(
            open.map(({ question, answer }) => ({ seq: question.seq, answer })),
            upheldSeq,
          ) === null
        ) {
          throw new Refusal('conflict', 'not-in-question', 'No second look is open on this release; it stands.');
        }
        const before = Math.min(...open.map(({ look }) => look.seq)) - 1;
        const said = await new Asking(unit).again(release, upheld, { judgedTo: unit.seq - 1, before });
        const { verdict, judgedTo, rules, worse } = said;
        if (secondNeeded(worse) && !second) {
          throw new Refusal(
            'conflict',
            'second-needed',
            `It stands over a stop, which takes two people: ${worse.map(({ what }) => what).join(' ')}`,
            [{ at: 'second', message: 'another releaser or a director signs beside you' }],
            { findings: worse },
          );
        }
        const record = { releaseId: id, reason, verdict, judgedTo, rules, findings: worse };
        const stands = second ? signatureOf(second, 'responsibility', record, unit.at) : null;
        const signature = signatureOf(signer, 'release', { ...record, second: stands }, unit.at);
        await unit.insert(ReleaseUpheldRow, { ...record, at: unit.at, signature, second: stands });
        unit.about('run', release.runId, { release: id, upheld: true, over: worse.map(({ id: each }) => each) });
        return release.runId;
      },
      onceOf(key, { id, reason, second: beside?.login }),
    );
    return this.one(acting, id, runId);
  }

  /** Who stands beside a signer where it takes two: another releaser or director, who proves who they are here. */
  private async secondSigner(
    acting: Acting,
    { login, password, at }: SecondSignerDto & { at: Record<'login' | 'password', string> },
  ): Promise<Signer> {
    const second = await this.signing.confirmOther(login, password, at.password);
    if (second.personId === acting.personId) {
      throw refused('same-signer', at.login, 'This takes two people; name another.');
    }
    const person = await this.store.read(acting.laboratoryId, (view) =>
      view.need(PersonRow, { id: second.personId }, 'such person'),
    );
    if (!person.roles.some((role) => role === 'releaser' || role === 'director')) {
      throw new Refusal('forbidden', 'second-not-allowed', `${person.name} is neither releaser nor director.`, [
        { at: at.login, message: 'name a releaser or a director' },
      ]);
    }
    return second;
  }

  private async one(acting: Actor, id: string, runId: string): Promise<ReleaseDto> {
    const found = (await this.list(acting, runId)).find((each) => each.id === id);
    if (!found) throw new Error(`release ${id} is gone`);
    return found;
  }
}

/** What was withdrawn or replaced stands no more. */
async function refuseOver(unit: Unit, id: string, runId: string): Promise<void> {
  if (await unit.one(ReleaseWithdrawalRow, { releaseId: id })) {
    throw new Refusal('conflict', 'withdrawn-already', 'This release was withdrawn; it stands no more.');
  }
  if (await unit.one(ReleaseRow, { runId, amends: id })) {
    throw new Refusal('conflict', 'amended-already', 'This release was amended; the later one stands.');
  }
}

/** What an exception goes over; null for a clear verdict. Refuses a held one without a reason, and one that is not needed. */
function exceptionOver({ verdict, findings }: PointJudgement, reason: string | undefined) {
  if (verdict === 'clear') {
    if (reason === undefined) return null;
    throw new Refusal('conflict', 'no-exception-needed', 'The gate is clear; release it without an exception.');
  }
  if (reason !== undefined) return { findings: excusable(findings).map(({ id }) => id), reason };
  const stops = holding(findings);
  throw new Refusal(
    'held',
    'held',
    `The gate holds this: ${stops.map(({ what }) => what).join(' ')}`,
    stops.map(({ id, mend }) => ({ at: id, message: mend })),
    { findings },
  );
}

function excusedBy(
  over: Pick<ReleaseException, 'findings' | 'reason'>,
  second: Signer,
  record: object,
  at: Signature['at'],
): ReleaseException {
  return { ...over, second: signatureOf(second, 'responsibility', { ...record, ...over }, at) };
}

/** One release of a kind at a point, and one amendment of a release; an amendment is of the same. */
async function refuseTwice(
  unit: Unit,
  wanted: Pick<NewReleaseDto, 'subjectId' | 'point' | 'kind' | 'amends'> & { runId: string },
): Promise<void> {
  const { runId, subjectId, point, kind, amends } = wanted;
  if (amends === undefined) {
    if (!(await unit.one(ReleaseRow, { runId, subjectId, point, kind }))) return;
    throw new Refusal('conflict', 'released-already', `This ${kind} was released already; amend it instead.`);
  }
  const amended = await unit.need(ReleaseRow, { id: amends }, `release ${amends}`);
  if (amended.runId !== runId || amended.subjectId !== subjectId || amended.point !== point || amended.kind !== kind) {
    throw refused('other-release', 'amends', 'It amends a release of the same kind, specimen and point only.');
  }
  if (await unit.one(ReleaseRow, { amends })) {
    throw new Refusal('conflict', 'amended-already', 'This release was amended already; amend the later one.');
  }
}

function refuseOtherAnswer({ events }: LoadedRun, answer: string, subjectId: string, point: string): void {
  const spoken = events.find(({ id }) => id === answer);
  if (spoken?.kind === 'answered' && spoken.data.subject === subjectId && spoken.data.point === point) return;
  throw refused('no-such-answer', 'answer', 'This run has no such spoken answer on this specimen at this point.');
}

function refused(code: string, at: string, message: string): Refusal {
  return new Refusal('invalid', code, message, [{ at, message }]);
}
