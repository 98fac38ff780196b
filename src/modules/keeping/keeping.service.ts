import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  KeepingDto,
  KeptDto,
  LegalHoldDto,
  LiftedHoldDto,
  NewKeepingTermDto,
  NewLegalHoldDto,
} from '../../contract/keeping.dto.js';
import { checkTerm, holdsOn, kindOf } from '../../core/keeping/keeping.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import { endOfDay, instantOfLocal } from '../../core/time/zone.js';
import { keepingTerms, keptHere, type KnownHold, legalHolds } from '../../store/questions/keeping.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { KeepingTermRow, LegalHoldEndRow, LegalHoldRow } from '../../store/rows/keeping.entity.js';
import { Store } from '../../store/store.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';

@Injectable()
export class KeepingService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly signing: Signing,
  ) {}

  /** What is kept of every kind, for how long and by which rule, and what is held. */
  read({ laboratoryId }: Acting): Promise<KeepingDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { zone } = await needLaboratory(view);
      const holds = await legalHolds(view);
      const terms = await keepingTerms(view);
      const kept = await keptHere(view, this.clock.now(), zone);
      return {
        kinds: kept.map(({ kind, ...figures }): KeptDto => {
          const { title, floorYears, from, clause } = kindOf(kind);
          const own = terms.findLast((term) => term.kind === kind);
          return {
            ...{ kind, title, floorYears, from, clause, ...figures },
            signature: own?.signature ?? null,
            reason: own?.reason ?? null,
            held: holdsOn(kind, holds).length > 0,
          };
        }),
        holds: holds.map(holdView),
      };
    });
  }

  /** Signs for how long a kind is kept; refused under the law's floor. */
  async setTerm(acting: Acting, body: NewKeepingTermDto, key?: string): Promise<KeepingDto> {
    const { kind, years, reason, password } = body;
    const signer = await this.signing.confirm(acting, password);
    await this.store.change(
      acting,
      'keeping.term-set',
      async (unit) => {
        checkTerm({ kind, years }, await keepingTerms(unit), await legalHolds(unit));
        const signature = signatureOf(signer, 'approval', { kind, years, reason }, unit.at);
        const { id } = await unit.insert(KeepingTermRow, { kind, years, reason, signature });
        unit.about('keeping-term', id, { kind, years });
        return null;
      },
      onceOf(key, { kind, years, reason }),
    );
    return this.read(acting);
  }

  /** Signs that nothing of some kinds goes until it is lifted. */
  async hold(acting: Acting, body: NewLegalHoldDto, key?: string): Promise<KeepingDto> {
    const { kinds = null, from: first, to: last, reason, password } = body;
    const signer = await this.signing.confirm(acting, password);
    await this.store.change(
      acting,
      'keeping.held',
      async (unit) => {
        const { zone } = await needLaboratory(unit);
        const from = first === undefined ? null : instantOfLocal(`${first}T00:00`, zone);
        const to = last === undefined ? null : endOfDay(last, zone);
        if (from !== null && to !== null && from >= to) {
          const message = `${last} lies before ${first}; give the days in their order.`;
          throw new Refusal('invalid', 'bad-period', message, [{ at: 'to', message }]);
        }
        const scope = { kinds, from, to };
        const signature = signatureOf(signer, 'responsibility', { ...scope, reason }, unit.at);
        const { id } = await unit.insert(LegalHoldRow, { ...scope, reason, signature });
        unit.about('legal-hold', id, scope);
        return null;
      },
      onceOf(key, { ...body }),
    );
    return this.read(acting);
  }

  /** Lifts a hold, signed. */
  async lift(acting: Acting, id: string, body: LiftedHoldDto, key?: string): Promise<KeepingDto> {
    const { reason, password } = body;
    const signer = await this.signing.confirm(acting, password);
    await this.store.change(
      acting,
      'keeping.hold-lifted',
      async (unit) => {
        await unit.need(LegalHoldRow, { id }, `legal hold ${id}`);
        if (await unit.one(LegalHoldEndRow, { holdId: id })) {
          throw new Refusal('conflict', 'lifted-already', 'This hold is lifted already.');
        }
        const signature = signatureOf(signer, 'responsibility', { holdId: id, reason }, unit.at);
        await unit.insert(LegalHoldEndRow, { holdId: id, reason, signature });
        unit.about('legal-hold', id, { lifted: true });
        return null;
      },
      onceOf(key, { id, reason }),
    );
    return this.read(acting);
  }
}

function holdView({ id, kinds, from, to, reason, signature, end }: KnownHold): LegalHoldDto {
  const lifted = end && { reason: end.reason, signature: end.signature };
  return { id, kinds, from, to, reason, signature, lifted };
}
