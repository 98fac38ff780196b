import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  DeviationAboutDto,
  DeviationDto,
  DeviationListDto,
  DeviationPersonDto,
  DeviationQueryDto,
  DeviationStoryDto,
  DeviationSubjectDto,
  NewDeviationActDto,
  NewDeviationCloseDto,
  NewDeviationDto,
  NewDeviationReopenDto,
} from '../../contract/deviations.dto.js';
import { checkDeviationAct } from '../../core/deviations/check.js';
import { type DeviationActData, type DeviationActKind, isOverdue } from '../../core/deviations/deviation.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import { plusDays } from '../../core/time/days.js';
import { endOfDay } from '../../core/time/zone.js';
import { deviationSubject, runOf } from '../../store/questions/deviation-subjects.js';
import {
  closedDeviations,
  deviationsAbout,
  type KnownDeviation,
  needDeviation,
  nextNumber,
  openDeviations,
} from '../../store/questions/deviations.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { workersOf } from '../../store/questions/people.js';
import { DeviationActRow, DeviationRow } from '../../store/rows/deviations.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';
import { deviationStory, deviationViews } from './views.js';

@Injectable()
export class DeviationsService {
  constructor(
    private readonly store: Store,
    private readonly signing: Signing,
    private readonly clock: Clock,
  ) {}

  list({ laboratoryId }: Acting, query: DeviationQueryDto): Promise<DeviationListDto> {
    const { state, owner, overdue, subject, subjectId, take } = query;
    if (state === 'closed' && (owner !== undefined || overdue)) {
      const message = 'A closed deviation asks nobody for anything; leave "owner" and "overdue" out.';
      throw new Refusal('invalid', 'nothing-due', message, [{ at: overdue ? 'overdue' : 'owner', message }]);
    }
    const now = this.clock.now();
    return this.store.read(laboratoryId, async (view) => {
      const all = await openDeviations(view);
      const late = all.filter((each) => lateAt(each, now));
      const counts = { open: all.length, overdue: late.length };
      if (state === 'closed') {
        const before = await numberOf(view, query.after);
        const closed = await closedDeviations(view, { subject, subjectId }, { take: take + 1, before });
        return { ...(await this.page(view, closed, take)), ...counts };
      }
      const wanted = (overdue ? late : all)
        .filter(({ standing }) => state === 'open' || standing.state === state)
        .filter(({ row }) => subject === undefined || row.subject === subject)
        .filter(({ row }) => subjectId === undefined || row.subjectId === subjectId)
        .filter((each) => owner === undefined || concerns(each, owner))
        .sort(byDue);
      const from = query.after === undefined ? 0 : wanted.findIndex(({ row }) => row.id === query.after) + 1;
      return { ...(await this.page(view, wanted.slice(from, from + take + 1), take)), ...counts };
    });
  }

  subject({ laboratoryId }: Acting, asked: DeviationAboutDto): Promise<DeviationSubjectDto> {
    const { subject, subjectId, findingId } = asked;
    return this.store.read(laboratoryId, async (view) => {
      const found = await deviationSubject(view, asked);
      if (!found || subjectId === undefined) {
        const message = 'A described deviation is about nothing that could be looked up.';
        throw new Refusal('invalid', 'bad-subject', message, [{ at: 'subject', message }]);
      }
      const { about, path, title, runId } = found;
      const known = await this.views(view, await deviationsAbout(view, { subject, subjectId }, findingId));
      return { about, path, title, runId, known };
    });
  }

  people({ laboratoryId }: Acting): Promise<DeviationPersonDto[]> {
    return this.store.read(laboratoryId, workersOf);
  }

  story({ laboratoryId }: Acting, id: string): Promise<DeviationStoryDto> {
    return this.store.read(laboratoryId, async (view) =>
      deviationStory(view, await needDeviation(view, id), this.clock.now()),
    );
  }

  async open(acting: Acting, asked: NewDeviationDto, key?: string): Promise<DeviationStoryDto> {
    const { subject, subjectId, findingId, runId, title, what, effect, correction } = asked;
    const id = await this.store.change(
      acting,
      'deviation.opened',
      async (unit) => {
        if (runId !== undefined && subject !== 'described') {
          const message = 'Only a described deviation names its run; of any other the program knows it.';
          throw new Refusal('invalid', 'bad-subject', message, [{ at: 'runId', message }]);
        }
        const found = await deviationSubject(unit, asked);
        if (subjectId !== undefined) refuseTwice(await deviationsAbout(unit, { subject, subjectId }, findingId));
        const number = await nextNumber(unit);
        const { id: deviationId } = await unit.insert(DeviationRow, {
          number,
          at: unit.at,
          personId: unit.personId,
          subject,
          subjectId: subjectId ?? null,
          finding: found?.finding ?? null,
          runId: found?.runId ?? null,
          protocolId: found?.protocolId ?? null,
          step: found?.step ?? null,
          ...(runId === undefined ? {} : await runOf(unit, runId)),
          title,
          what,
          effect,
        });
        if (correction !== undefined) await add(unit, deviationId, 'correction', { text: correction });
        unit.about('deviation', deviationId, { number, subject, of: subjectId ?? null, effect });
        return deviationId;
      },
      onceOf(key, asked),
    );
    return this.story(acting, id);
  }

  act(acting: Acting, id: string, asked: NewDeviationActDto, key?: string): Promise<DeviationStoryDto> {
    const { kind, dueDay, notBeforeDay, ...said } = asked;
    return this.change(acting, { id, kind, asked }, key, async (unit) => {
      if (said.ownerId !== undefined) await needWorker(unit, said.ownerId);
      const { zone } = await needLaboratory(unit);
      return {
        ...said,
        ...(dueDay !== undefined && { due: endOfDay(dueDay, zone) }),
        ...(notBeforeDay !== undefined && { notBefore: endOfDay(plusDays(notBeforeDay, -1), zone) }),
      };
    });
  }

  async close(acting: Acting, id: string, asked: NewDeviationCloseDto, key?: string): Promise<DeviationStoryDto> {
    const { ended, reason: text, password } = asked;
    const signer = await this.signing.confirm(acting, password);
    return this.change(acting, { id, kind: 'closed', asked }, key, async (unit, { row, acts }) => {
      const record = {
        number: row.number,
        title: row.title,
        what: row.what,
        acts: acts.map(({ id: actId, kind, data }) => ({ id: actId, kind, data })),
        ended,
        text,
      };
      return Promise.resolve({ ended, text, signature: signatureOf(signer, 'review', record, unit.at) });
    });
  }

  reopen(acting: Acting, id: string, asked: NewDeviationReopenDto, key?: string): Promise<DeviationStoryDto> {
    return this.change(acting, { id, kind: 'reopened', asked }, key, () => Promise.resolve({ text: asked.reason }));
  }

  private async change(
    acting: Acting,
    { id, kind, asked }: { id: string; kind: DeviationActKind; asked: object },
    key: string | undefined,
    told: (unit: Unit, known: KnownDeviation) => Promise<DeviationActData>,
  ): Promise<DeviationStoryDto> {
    await this.store.change(
      acting,
      `deviation.${kind.replaceAll(' ', '-')}`,
      async (unit) => {
        const known = await needDeviation(unit, id);
        const data = await told(unit, known);
        checkDeviationAct(kind, data, known.acts, { personId: unit.personId, at: unit.at });
        await add(unit, id, kind, data);
        unit.about('deviation', id, { number: known.row.number, kind });
      },
      onceOf(key, { id, ...asked }),
    );
    return this.story(acting, id);
  }

  private async page(
    view: View,
    known: readonly KnownDeviation[],
    take: number,
  ): Promise<Pick<DeviationListDto, 'items' | 'next'>> {
    const items = known.slice(0, take);
    return {
      items: await this.views(view, items),
      next: known.length > take ? (items.at(-1)?.row.id ?? null) : null,
    };
  }

  private views(view: View, known: readonly KnownDeviation[]): Promise<DeviationDto[]> {
    return deviationViews(view, known, this.clock.now());
  }
}

async function add(unit: Unit, deviationId: string, kind: DeviationActKind, data: DeviationActData): Promise<void> {
  await unit.insert(DeviationActRow, { deviationId, kind, at: unit.at, personId: unit.personId, data });
}

/** One thing that went wrong is followed up once: who sees it again adds to what is there. */
function refuseTwice(known: readonly KnownDeviation[]): void {
  const open = known.find(({ standing }) => standing.state !== 'closed');
  if (!open) return;
  throw new Refusal(
    'conflict',
    'deviation-known',
    `Deviation ${open.row.number} was opened from this already and is open; add to it.`,
    [],
    { deviationId: open.row.id },
  );
}

async function needWorker(view: View, id: string): Promise<void> {
  if ((await workersOf(view)).some((each) => each.id === id)) return;
  const message =
    'Name somebody who works here and may sign in; a reviewer or an administrator has nothing to do with it.';
  throw new Refusal('invalid', 'unknown-owner', message, [{ at: 'ownerId', message }]);
}

/** The number below which a page of closed ones begins. */
async function numberOf(view: View, after: string | undefined): Promise<number> {
  if (after === undefined) return 2_147_483_647;
  return (await view.need(DeviationRow, { id: after }, `deviation ${after}`)).number;
}

function lateAt({ due }: KnownDeviation, now: Instant): boolean {
  return due.some((item) => isOverdue(item, now));
}

function concerns({ standing, due }: KnownDeviation, personId: string): boolean {
  return standing.owner?.id === personId || due.some(({ ownerId }) => ownerId === personId);
}

/** What is due first stands first; that of which nothing is due last. */
function byDue(a: KnownDeviation, b: KnownDeviation): number {
  const [first, second] = [a.due[0]?.due ?? '~', b.due[0]?.due ?? '~'];
  return first === second ? a.row.number - b.row.number : first < second ? -1 : 1;
}
