import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  LooksDto,
  LooksQueryDto,
  NewReviewGrantDto,
  OwnScopeDto,
  ReviewGrantDto,
} from '../../contract/review.dto.js';
import { checkGrant, grantAt, grantStanding } from '../../core/people/review.js';
import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import { endOfDay, instantOfLocal } from '../../core/time/zone.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { namesOf } from '../../store/questions/people.js';
import { grantsOf, type KnownGrant } from '../../store/questions/review/grants.js';
import { looksOf } from '../../store/questions/review/looks.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import { RevisionRow } from '../../store/rows/protocols.entity.js';
import { ReviewGrantEndRow, ReviewGrantRow } from '../../store/rows/review.entity.js';
import { Store } from '../../store/store.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';

/** What reviewers may see, and what they looked at. */
@Injectable()
export class GrantsService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  list({ laboratoryId }: Acting): Promise<ReviewGrantDto[]> {
    return this.store.read(laboratoryId, async (view) => this.shown(view, (await grantsOf(view)).reverse()));
  }

  async give(acting: Acting, asked: NewReviewGrantDto, key: string | undefined): Promise<ReviewGrantDto> {
    const { personId, protocols, areas, reason } = asked;
    const id = await this.store.change(
      acting,
      'review.granted',
      async (unit) => {
        const { roles, name } = await unit.need(PersonRow, { id: personId }, `person ${personId}`);
        if (!roles.includes('reviewer')) {
          const message = `${name} is no reviewer; give the role first, or choose somebody who has it.`;
          throw new Refusal('conflict', 'no-reviewer', message, [{ at: 'personId', message }]);
        }
        for (const protocolId of protocols ?? [])
          await unit.need(RevisionRow, { protocolId }, `protocol ${protocolId}`);
        const { zone } = await needLaboratory(unit);
        const scope = {
          from: instantOfLocal(`${asked.fromDay}T00:00`, zone),
          to: endOfDay(asked.toDay, zone),
          validFrom: instantOfLocal(`${asked.validFrom}T00:00`, zone),
          validUntil: endOfDay(asked.validTo, zone),
          protocols: protocols ?? null,
          areas: areas ?? null,
        };
        checkGrant(scope, unit.at);
        const row = await unit.insert(ReviewGrantRow, {
          ...scope,
          personId,
          reason,
          at: unit.at,
          byPersonId: unit.personId,
        });
        unit.about('person', personId, { grant: row.id, ...scope });
        return row.id;
      },
      onceOf(key, asked),
    );
    return this.one(acting, id);
  }

  async revoke(acting: Acting, id: string, reason: string, key: string | undefined): Promise<ReviewGrantDto> {
    await this.store.change(
      acting,
      'review.revoked',
      async (unit) => {
        const { personId } = await unit.need(ReviewGrantRow, { id }, `grant ${id}`);
        if (await unit.one(ReviewGrantEndRow, { grantId: id })) {
          throw new Refusal('conflict', 'grant-over', 'This access was taken back already; nothing is left to do.');
        }
        await unit.insert(ReviewGrantEndRow, { grantId: id, at: unit.at, byPersonId: unit.personId, reason });
        unit.about('person', personId, { grant: id, revoked: true });
      },
      onceOf(key, { id, reason }),
    );
    return this.one(acting, id);
  }

  /** What the caller may see themselves. */
  own({ laboratoryId, personId, roles }: Acting): Promise<OwnScopeDto> {
    return this.store.read(laboratoryId, async (view) => {
      if (!roles.includes('reviewer') || personId === null) return { grant: null, until: null, closed: null };
      const grants = await grantsOf(view, personId);
      try {
        const { from, to, protocols, areas, validUntil } = grantAt(grants, this.clock.now());
        const scope = { from, to, protocols: listed(protocols), areas: listed(areas) };
        return { grant: scope, until: validUntil, closed: null };
      } catch (refusal) {
        if (!(refusal instanceof Refusal)) throw refusal;
        return { grant: null, until: null, closed: refusal.message };
      }
    });
  }

  looks({ laboratoryId }: Acting, { person, before, take = 50 }: LooksQueryDto): Promise<LooksDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { total, rows } = await looksOf(view, { personId: person, before, take });
      const names = await namesOf(
        view,
        rows.map(({ personId }) => personId),
      );
      return {
        total,
        looks: rows.map(({ seq, at, personId, kind, about, asked, period }) => ({
          seq,
          at,
          personId,
          name: names[personId] ?? personId,
          kind,
          about,
          asked,
          period,
        })),
        next: rows.length < take ? null : (rows.at(-1)?.seq ?? null),
      };
    });
  }

  private one({ laboratoryId }: Acting, id: string): Promise<ReviewGrantDto> {
    return this.store.read(laboratoryId, async (view) => {
      const [found] = await this.shown(
        view,
        (await grantsOf(view)).filter((each) => each.id === id),
      );
      if (!found) throw new Refusal('not-found', 'not-found', `There is no grant ${id}.`);
      return found;
    });
  }

  private async shown(view: View, grants: readonly KnownGrant[]): Promise<ReviewGrantDto[]> {
    const now: Instant = this.clock.now();
    const names = await namesOf(
      view,
      grants.flatMap(({ row }) => [row.personId, row.byPersonId]),
    );
    return grants.map((grant) => {
      const { id, from, to, protocols, areas, validFrom, validUntil, row, end } = grant;
      return {
        id,
        personId: row.personId,
        name: names[row.personId] ?? row.personId,
        from,
        to,
        protocols: listed(protocols),
        areas: listed(areas),
        validFrom,
        validUntil,
        reason: row.reason,
        at: row.at,
        by: names[row.byPersonId] ?? row.byPersonId,
        standing: grantStanding(grant, now),
        revokedAt: end?.at ?? null,
        revokedReason: end?.reason ?? null,
      };
    });
  }
}

function listed<T>(values: readonly T[] | null): T[] | null {
  return values === null ? null : [...values];
}
