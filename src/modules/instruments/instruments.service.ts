import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { InstrumentDto, NewInstrumentActDto, NewInstrumentDto } from '../../contract/instruments.dto.js';
import { checkInstrumentAct, dueAgain, instrumentFaults, stationAt } from '../../core/instruments/instrument.js';
import { Refusal } from '../../core/refusal.js';
import { instrumentPeriod } from '../../core/second-look/stays.js';
import { type Instant, readInstant } from '../../core/time/instant.js';
import { endOfDay } from '../../core/time/zone.js';
import { questionReleases } from '../../store/acts/question-releases.js';
import { type KnownInstrument, knownInstruments } from '../../store/questions/instruments.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { FileRow } from '../../store/rows/files.entity.js';
import { InstrumentActRow, InstrumentRow } from '../../store/rows/instruments.entity.js';
import { Store } from '../../store/store.js';
import { type Acting, onceOf } from '../http/access.js';

@Injectable()
export class InstrumentsService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  list({ laboratoryId }: Acting): Promise<InstrumentDto[]> {
    const now = this.clock.now();
    return this.store.read(laboratoryId, async (view) =>
      (await knownInstruments(view)).map((each) => instrumentView(each, now)),
    );
  }

  async add(acting: Acting, asked: NewInstrumentDto, key: string | undefined): Promise<InstrumentDto> {
    const { code, name, kind, serial, calibrated, station } = asked;
    const id = await this.store.change(
      acting,
      'instrument.added',
      async (unit) => {
        if (await unit.one(InstrumentRow, { code })) {
          const message = `${code} stands on another instrument already; give each its own.`;
          throw new Refusal('conflict', 'code-taken', message, [{ at: 'code', message }]);
        }
        const row = await unit.insert(InstrumentRow, { code, name, kind, serial: serial ?? null, calibrated });
        if (station !== undefined) {
          await unit.insert(InstrumentActRow, {
            instrumentId: row.id,
            kind: 'moved',
            at: unit.at,
            personId: unit.actor.personId,
            station,
            note: 'Put there when it was entered.',
          });
        }
        unit.about('instrument', row.id, { code, kind });
        return row.id;
      },
      onceOf(key, asked),
    );
    return this.one(acting, id);
  }

  async act(acting: Acting, id: string, asked: NewInstrumentActDto, key: string | undefined): Promise<InstrumentDto> {
    const { kind, passed, lastDay, station, fileId, note } = asked;
    await this.store.change(
      acting,
      `instrument.${kind.replaceAll(' ', '-')}`,
      async (unit) => {
        const { code, name } = await unit.need(InstrumentRow, { id }, `instrument ${id}`);
        if (fileId !== undefined) await unit.need(FileRow, { id: fileId }, `file ${fileId}`);
        const { zone } = await needLaboratory(unit);
        const at = asked.at === undefined ? unit.at : readInstant(asked.at);
        const act = {
          kind,
          at,
          passed: passed ?? null,
          until: lastDay === undefined ? null : endOfDay(lastDay, zone),
          station: station ?? null,
        };
        checkInstrumentAct(act, unit.at);
        const before = await unit.all(InstrumentActRow, { instrumentId: id }, { order: { seq: 'ASC', id: 'ASC' } });
        await unit.insert(InstrumentActRow, {
          instrumentId: id,
          ...act,
          personId: unit.actor.personId,
          fileId: fileId ?? null,
          note,
        });
        await questionReleases(
          unit,
          {
            cause: 'instrument checked',
            causeId: id,
            reason: `${name} (${code}) was ${kind}${passed === false ? ' and failed' : ''} at ${at}: ${note}`,
            path: '/controls/instruments',
          },
          instrumentPeriod(act, before),
        );
        unit.about('instrument', id, { code, kind, at });
      },
      onceOf(key, { id, ...asked }),
    );
    return this.one(acting, id);
  }

  private async one(acting: Acting, id: string): Promise<InstrumentDto> {
    const found = (await this.list(acting)).find((each) => each.id === id);
    if (!found) throw new Error(`instrument ${id} is gone`);
    return found;
  }
}

function instrumentView({ row, acts, ...facts }: KnownInstrument, now: Instant): InstrumentDto {
  const { id, code, name, kind, serial, calibrated } = row;
  const due = dueAgain({ acts }, now);
  return {
    id,
    code,
    name,
    kind,
    serial,
    calibrated,
    station: stationAt({ acts }, now),
    calibrationDue: due.calibration,
    serviceDue: due.service,
    faults: instrumentFaults({ ...facts, acts }, now),
    acts: acts
      .map(({ id: actId, kind: did, at, personId, passed, until, station, fileId, note }) => ({
        id: actId,
        kind: did,
        at,
        personId,
        passed,
        until,
        station,
        fileId,
        note,
      }))
      .reverse(),
  };
}
