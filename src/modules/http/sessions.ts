import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import { Config } from '../../config.js';
import { sessionEnd } from '../../core/people/session.js';
import { rolesIn } from '../../store/questions/sessions.js';
import { sha256 } from '../../core/record/record.js';
import { epochMs } from '../../core/time/instant.js';
import { DeviceRow, SessionRow } from '../../store/rows/people.entity.js';
import type { Changed } from '../../store/changed.js';
import { type SessionOfPerson, sessionWithPerson } from '../../store/questions/sessions.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { Acting } from './access.js';
import { newSecret } from './secrets.js';

export const SESSION_COOKIE = 'stainwright_session';

/** A use moves the end of a session only after so long, so that not every request writes. */
const TOUCH_AFTER_MS = 60_000;

export interface OpenSession {
  acting: Acting;
  csrf: string;
}

/** Sessions of browsers and tokens of devices: from what a request carries to who acts. */
@Injectable()
export class Sessions {
  private readonly known = new Map<string, SessionOfPerson>();
  /** Counts what made known sessions old, so that one loaded meanwhile is not kept. */
  private changes = 0;

  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly config: Config,
  ) {
    for (const heard of ['own', 'changed'] as const) store.feed.on(heard, (changed: Changed) => this.forget(changed));
    // What was missed may have been a sign-out.
    store.feed.on('missed', () => this.forget({ act: 'person.unknown' }));
  }

  /** Begins a session of a person; only the caller ever holds its secret. */
  async open(
    unit: Unit,
    personId: string,
    openedBy: SessionRow['openedBy'] = null,
  ): Promise<{ id: string; secret: string; csrf: string }> {
    const secret = newSecret();
    const id = sha256(secret);
    const csrf = newSecret();
    await unit.add(SessionRow, {
      id,
      personId,
      deviceId: null,
      openedBy,
      csrf,
      createdAt: unit.at,
      expiresAt: sessionEnd(unit.at, unit.at),
    });
    return { id, secret, csrf };
  }

  /** Who acts with a cookie's secret, whose session then lives on; null when it is unknown, over, or its person disabled. */
  async ofCookie(secret: string): Promise<OpenSession | null> {
    const { laboratoryId } = this.config;
    const found = await this.find(sha256(secret));
    if (!found) return null;
    const { session, person } = found;
    const end = sessionEnd(session.createdAt, this.clock.now());
    if (epochMs(end) - epochMs(session.expiresAt) >= TOUCH_AFTER_MS) {
      await this.store.housekeep(laboratoryId, (unit) =>
        unit.change(SessionRow, { id: session.id }, { expiresAt: end }),
      );
      session.expiresAt = end;
    }
    const { id: personId, name } = person;
    const roles = rolesIn(session, person);
    return {
      acting: { laboratoryId, personId, deviceId: session.deviceId, roles, name, sessionId: session.id },
      csrf: session.csrf,
    };
  }

  /** Which device acts with a token; null when the token is unknown or revoked. */
  async ofToken(token: string): Promise<Acting | null> {
    const { laboratoryId } = this.config;
    const device = await this.store.read(laboratoryId, (view) => view.one(DeviceRow, { tokenHash: sha256(token) }));
    if (!device || device.revokedAt !== null) return null;
    const { id: deviceId, roles, name } = device;
    return { laboratoryId, personId: null, deviceId, roles, name, sessionId: null };
  }

  /** Whether who acted in a request that is still open may go on; asking does not prolong the session. */
  async stillHolds({ sessionId, deviceId, laboratoryId }: Acting): Promise<boolean> {
    if (sessionId !== null) return (await this.find(sessionId)) !== null;
    const device = await this.store.read(laboratoryId, (view) => view.one(DeviceRow, { id: deviceId ?? '' }));
    return device?.revokedAt === null;
  }

  private async find(sessionId: string): Promise<SessionOfPerson | null> {
    const known = this.known.get(sessionId) ?? (await this.load(sessionId));
    return known && !known.person.disabled && this.clock.now() < known.session.expiresAt ? known : null;
  }

  /** Asked by every signed-in request, so kept until an act changes a person or a session. */
  private async load(sessionId: string): Promise<SessionOfPerson | null> {
    const changes = this.changes;
    const found = await this.store.read(this.config.laboratoryId, (view) => sessionWithPerson(view, sessionId));
    if (found && changes === this.changes) this.known.set(sessionId, found);
    return found;
  }

  private forget({ act }: Pick<Changed, 'act'>): void {
    if (!act.startsWith('person.')) return;
    this.changes += 1;
    this.known.clear();
  }
}
