import { Injectable } from '@nestjs/common';
import type { ReagentDto, ReagentRevisionDto } from '../../contract/catalogue.dto.js';
import { USUAL_UNIT } from '../../core/ledger/amount.js';
import { checkCatalogue } from '../../core/protocol/check.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import { canonicalText } from '../../core/record/record.js';
import { Refusal } from '../../core/refusal.js';
import { questionReleases } from '../../store/acts/question-releases.js';
import { catalogue, reagentRevisions } from '../../store/questions/reagents.js';
import { MovementRow } from '../../store/rows/ledger.entity.js';
import { ReagentRow } from '../../store/rows/stock.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';
import { Shipped } from './shipped.js';

@Injectable()
export class ReagentsService {
  constructor(
    private readonly store: Store,
    private readonly shipped: Shipped,
  ) {}

  revisions({ laboratoryId }: Acting): Promise<ReagentRevisionDto[]> {
    return this.store.read(laboratoryId, reagentRevisions);
  }

  /** A new entry, or a revision of the one of that code, checked as a file of the catalogue is. */
  set(acting: Acting, body: ReagentDto, key?: string): Promise<ReagentDto> {
    const write = async (unit: Unit): Promise<ReagentDto> => {
      const others = await catalogue(unit);
      const before = others.find(({ code }) => code === body.code);
      if (before && canonicalText(before) === canonicalText(body)) {
        throw new Refusal('conflict', 'unchanged', `The entry of ${body.code} says this already; nothing was saved.`);
      }
      const problems = checkCatalogue([body, ...others.filter((each) => each !== before)], this.shipped.sources)
        .filter(({ path }) => path[1] === 0)
        .map(({ path, message }) => ({ at: path.slice(2).join('.'), message }));
      if (problems.length > 0) {
        const message = `The entry has ${problems.length === 1 ? 'a problem' : `${problems.length} problems`}; nothing was saved.`;
        throw new Refusal('invalid', 'faulty-reagent', message, problems);
      }
      if (before) await refuseOtherUnit(unit, body.code, before.unit ?? USUAL_UNIT, body.unit ?? USUAL_UNIT);
      await unit.insert(ReagentRow, { code: body.code, content: body, personId: unit.actor.personId });
      unit.about('reagent', body.code, { revised: before !== undefined });
      if (before && judgedOtherwise(before, body)) {
        await questionReleases(
          unit,
          {
            cause: 'catalogue changed',
            causeId: body.code,
            reason: `The entry of ${body.name} was changed: what it is, or what may stand in for it.`,
            path: '/stock/reagents',
          },
          { reagent: body.code },
        );
      }
      return body;
    };
    return this.store.change(acting, 'reagent.set', write, onceOf(key, body));
  }
}

/** Whether the gate judges a step with the reagent otherwise by another entry. */
function judgedOtherwise(before: Reagent, after: Reagent): boolean {
  return (
    before.kind !== after.kind ||
    canonicalText(before.acceptedInstead ?? []) !== canonicalText(after.acceptedInstead ?? [])
  );
}

/** The ledger counts in the declared unit: once something moved it stays, or old and new amounts would be added up. */
async function refuseOtherUnit(unit: Unit, code: string, before: string, after: string): Promise<void> {
  if (before === after || (await unit.count(MovementRow, { reagentCode: code })) === 0) return;
  const message = `${code} is counted in ${before} by the ledger already and cannot be counted in ${after}; make an entry of another code`;
  throw new Refusal('conflict', 'unit-in-use', message, [{ at: 'unit', message }]);
}
