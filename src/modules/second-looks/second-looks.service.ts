import { Injectable } from '@nestjs/common';
import type { ListDto } from '../../contract/list.dto.js';
import type {
  LookedAtListDto,
  LookedAtQueryDto,
  SecondLookDto,
  SecondLookListDto,
} from '../../contract/second-looks.dto.js';
import { checkArea, type ReviewScope } from '../../core/people/review.js';
import { Refusal } from '../../core/refusal.js';
import { SECOND_LOOK_JOB } from '../../store/acts/question-releases.js';
import { namesOf } from '../../store/questions/recalls.js';
import { releasesById } from '../../store/questions/releases.js';
import { revisionOf } from '../../store/questions/runs.js';
import { type KnownLook, knownLook, knownLooks, listedReleases } from '../../store/questions/second-looks.js';
import { subjectsOf } from '../../store/questions/subjects.js';
import { RunRow } from '../../store/rows/runs.entity.js';
import { Store } from '../../store/store.js';
import type { Actor } from '../../store/unit.js';
import type { View } from '../../store/view.js';
import type { Acting } from '../http/access.js';
import { Reviewing } from '../http/reviewing.js';

@Injectable()
export class SecondLooksService {
  constructor(
    private readonly store: Store,
    private readonly reviewing: Reviewing,
  ) {}

  /** A reviewer sees those that ask of what was granted. */
  async list(acting: Acting, { take, after }: ListDto): Promise<SecondLookListDto> {
    const scope = await this.scopeOf(acting, 'GET /api/second-looks');
    return this.store.read(acting.laboratoryId, async (view) => {
      const found = await knownLooks(view, { take, after, scope });
      return { items: await lookViews(view, found), next: found.length < take ? null : (found.at(-1)?.row.id ?? null) };
    });
  }

  view({ laboratoryId }: Actor, id: string): Promise<SecondLookDto> {
    return this.store.read(laboratoryId, async (view) => {
      const [shown] = await lookViews(view, [await knownLook(view, id)]);
      return shown as SecondLookDto;
    });
  }

  async releases(acting: Acting, { list, take, after }: LookedAtQueryDto): Promise<LookedAtListDto> {
    const scope = await this.scopeOf(acting, 'GET /api/second-looks/releases');
    return this.store.read(acting.laboratoryId, async (view) => {
      const ids = await listedReleases(view, list, { take, after, scope });
      const items = [];
      for (const release of await releasesById(view, ids)) {
        const { station, revisionId } = await view.need(RunRow, { id: release.runId }, `run ${release.runId}`);
        const { title } = await revisionOf(view, revisionId);
        const [subject] = await subjectsOf(view, [release.subjectId]);
        items.push({ release, title, station, label: subject?.label ?? '', description: subject?.description ?? '' });
      }
      return { items, next: ids.length < take ? null : (ids.at(-1) ?? null) };
    });
  }

  /** Queues the job once more; what was answered stays answered. */
  async ask(acting: Acting, id: string): Promise<SecondLookDto> {
    await this.store.housekeep(acting.laboratoryId, async (unit) => {
      const { row, answered } = await knownLook(unit, id);
      if (answered === row.asked) {
        throw new Refusal('conflict', 'answered-already', 'The gate has answered for every release that it asks of.');
      }
      await unit.enqueue(SECOND_LOOK_JOB, id);
    });
    return this.view(acting, id);
  }

  private async scopeOf(acting: Acting, asked: string): Promise<ReviewScope | undefined> {
    const { review } = acting;
    if (!review) return undefined;
    checkArea(review, 'bench work');
    const { from, to } = review;
    await this.reviewing.looked(acting, asked, { kind: 'question', about: 'second looks', period: { from, to } });
    return review;
  }
}

async function lookViews(view: View, looks: readonly KnownLook[]): Promise<SecondLookDto[]> {
  const names = await namesOf(
    view,
    looks.map(({ row }) => row.personId),
  );
  return looks.map(({ row, answered, worsened }) => {
    const { id, cause, causeId, reason, path, at, personId, asked } = row;
    const person = personId === null ? null : (names.get(personId) ?? null);
    return { id, cause, causeId, reason, path, at, personId, person, asked, answered, worsened };
  });
}
