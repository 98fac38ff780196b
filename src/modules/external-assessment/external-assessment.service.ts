import { Injectable } from '@nestjs/common';
import type { NewRoundActDto, NewRoundDto, RoundDto } from '../../contract/external-assessment.dto.js';
import { checkRoundAct, type RoundActData, roundStanding } from '../../core/external-assessment/round.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import { endOfDay } from '../../core/time/zone.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { FileRow } from '../../store/rows/files.entity.js';
import { RevisionRow } from '../../store/rows/protocols.entity.js';
import { RoundActRow, RoundRow } from '../../store/rows/rounds.entity.js';
import { RunRow } from '../../store/rows/runs.entity.js';
import { Store } from '../../store/store.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';

@Injectable()
export class ExternalAssessmentService {
  constructor(
    private readonly store: Store,
    private readonly signing: Signing,
  ) {}

  list({ laboratoryId }: Acting): Promise<RoundDto[]> {
    return this.store.read(laboratoryId, rounds);
  }

  async add(acting: Acting, asked: NewRoundDto, key: string | undefined): Promise<RoundDto> {
    const { body, round, protocolId, dueDay, samples } = asked;
    const id = await this.store.change(
      acting,
      'assessment-round.received',
      async (unit) => {
        if (!(await unit.one(RevisionRow, { protocolId }))) {
          const message = `There is no protocol "${protocolId}".`;
          throw new Refusal('invalid', 'unknown-protocol', message, [{ at: 'protocolId', message }]);
        }
        if (await unit.one(RoundRow, { body, round, protocolId })) {
          throw new Refusal('conflict', 'round-known', `Round ${round} of ${body} was entered already.`);
        }
        const { zone } = await needLaboratory(unit);
        const row = await unit.insert(RoundRow, {
          body,
          round,
          protocolId,
          receivedAt: unit.at,
          dueAt: endOfDay(dueDay, zone),
          samples,
        });
        unit.about('assessment-round', row.id, { body, round, protocol: protocolId });
        return row.id;
      },
      onceOf(key, asked),
    );
    return this.one(acting, id);
  }

  /** Adds what was sent, the score, cause and action, or the signed end. */
  async act(acting: Acting, id: string, asked: NewRoundActDto, key: string | undefined): Promise<RoundDto> {
    const { kind, password, ...told } = asked;
    const signer = kind === 'closed' ? await this.signing.confirm(acting, password ?? '') : null;
    await this.store.change(
      acting,
      `assessment-round.${kind}`,
      async (unit) => {
        const { body, round } = await unit.need(RoundRow, { id }, `round ${id}`);
        if (told.runId !== undefined) await unit.need(RunRow, { id: told.runId }, `run ${told.runId}`);
        if (told.fileId !== undefined) await unit.need(FileRow, { id: told.fileId }, `file ${told.fileId}`);
        const acts = await unit.all(RoundActRow, { roundId: id }, { order: { seq: 'ASC', id: 'ASC' } });
        const data: RoundActData = {
          ...told,
          ...(signer && { signature: signatureOf(signer, 'review', { round: id, ...told }, unit.at) }),
        };
        checkRoundAct(kind, data, acts);
        await unit.insert(RoundActRow, { roundId: id, kind, at: unit.at, personId: unit.actor.personId, data });
        unit.about('assessment-round', id, { body, round, kind });
      },
      onceOf(key, { id, kind, ...told }),
    );
    return this.one(acting, id);
  }

  private async one(acting: Acting, id: string): Promise<RoundDto> {
    const found = (await this.list(acting)).find((each) => each.id === id);
    if (!found) throw new Error(`round ${id} is gone`);
    return found;
  }
}

/** Every round, the newest first. */
async function rounds(view: View): Promise<RoundDto[]> {
  const rows = await view.all(RoundRow, {}, { order: { seq: 'DESC' } });
  const acts = await view.all(RoundActRow, {}, { order: { seq: 'ASC', id: 'ASC' } });
  return rows.map(({ id, body, round, protocolId, receivedAt, dueAt, samples }) => {
    const own = acts.filter(({ roundId }) => roundId === id);
    return {
      id,
      body,
      round,
      protocolId,
      receivedAt,
      dueAt,
      samples,
      standing: roundStanding(own),
      acts: own.map(({ id: actId, kind, at, personId, data }) => ({ id: actId, kind, at, personId, ...data })),
    };
  });
}
