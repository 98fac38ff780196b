import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { NewDayPassDto, PassHandOverDto } from '../../contract/people.dto.js';
import { isPassKey } from '../../core/record/pass-proof.js';
import { Refusal } from '../../core/refusal.js';
import { takeOverText } from '../../core/run/day-pass.js';
import { plusMs } from '../../core/time/instant.js';
import { endOfDay, localDay } from '../../core/time/zone.js';
import { personOfPass } from '../../store/questions/day-passes.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { BadgeRow } from '../../store/rows/badges.entity.js';
import { DayPassRow } from '../../store/rows/day-passes.entity.js';
import { SessionRow } from '../../store/rows/people.entity.js';
import { Store } from '../../store/store.js';
import type { Acting } from '../http/access.js';
import { newSecret } from '../http/secrets.js';
import { Sessions } from '../http/sessions.js';

/** A pass serves to the end of the day in which a shift that begins now is over, so that no night ends it in mid-step. */
const SHIFT_MS = 8 * 60 * 60 * 1000;

/** Day passes: who badged in on a device with the network can take it over without one, for that day. */
@Injectable()
export class DayPasses {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly sessions: Sessions,
  ) {}

  /** Gives the person of a session that a badge and a PIN opened a pass for the key that the device made. */
  async give(acting: Acting, { publicKey }: NewDayPassDto): Promise<{ id: string; endsAt: string }> {
    if (!isPassKey(publicKey)) {
      const message = 'a public key on the curve P-256 is needed, in DER and Base64url';
      throw new Refusal('invalid', 'no-pass-key', 'This is no key for a day pass.', [{ at: 'publicKey', message }]);
    }
    return this.store.change(acting, 'person.day-pass-given', async (unit) => {
      const { personId } = unit;
      const session = await unit.one(SessionRow, { id: acting.sessionId ?? '' });
      const badge = session?.openedBy === 'badge' ? await unit.one(BadgeRow, { personId }) : null;
      if (!badge) {
        throw new Refusal('forbidden', 'badge-needed', 'A day pass is given to who took over with a badge and PIN.');
      }
      const { zone } = await needLaboratory(unit);
      const endsAt = endOfDay(localDay(plusMs(unit.at, SHIFT_MS), zone), zone);
      const id = newSecret();
      await unit.add(DayPassRow, { id, personId, badgeId: badge.id, publicKey, endsAt, createdAt: unit.at });
      unit.about('person', personId, { pass: id, publicKey, endsAt });
      return { id, endsAt };
    });
  }

  /** Gives the session of this browser over to the person of a pass, who took over before the network came back. */
  async handOver(acting: Acting, { pass, proof }: PassHandOverDto): Promise<{ id: string; secret: string }> {
    const { sessionId, personId: before, laboratoryId } = acting;
    if (sessionId === null) throw new Refusal('forbidden', 'person-needed', 'A device is no person to take over from.');
    const given = { id: pass, proof };
    const person = await this.store.read(laboratoryId, async (view) => {
      const { csrf } = await view.need(SessionRow, { id: sessionId }, 'such session');
      return personOfPass(view, given, (id) => takeOverText(id, csrf), this.clock.now());
    });
    return this.store.change({ ...acting, personId: person.id }, 'person.took-over', async (unit) => {
      const { csrf } = await unit.need(SessionRow, { id: sessionId }, 'such session');
      await personOfPass(unit, given, (id) => takeOverText(id, csrf), unit.at);
      await unit.remove(SessionRow, { id: sessionId });
      const session = await this.sessions.open(unit, person.id, 'day-pass');
      unit.about('session', session.id, { from: before, pass });
      return session;
    });
  }
}
