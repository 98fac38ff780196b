import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import { Config } from '../../config.js';
import { HandOverDto, NewPasswordDto, SessionDto, SetUpDto, SignInDto } from '../../contract/people.dto.js';
import { Refusal } from '../../core/refusal.js';
import { knownZone } from '../../core/time/zone.js';
import { queueFirst } from '../../jobs/recurring.js';
import { addLaboratory, laboratoryOf } from '../../store/questions/laboratories.js';
import { removeEndedSessions, rolesIn } from '../../store/questions/sessions.js';
import { BadgeRow } from '../../store/rows/badges.entity.js';
import { PersonRow, SessionRow } from '../../store/rows/people.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { Acting } from '../http/access.js';
import { Passwords } from '../http/passwords.js';
import { Sessions } from '../http/sessions.js';
import { addPerson, usablePassword } from './accounts.js';
import { Badges } from './badges.js';
import { SetupLinks } from './setup-links.js';

/** By how much a device's monotonic clock may be off until the laboratory measures its own; common practice, no source. */
const DRIFT_PPM = 100;

/** What a browser keeps: the answer for its pages, and the secret for its cookie. */
export interface Begun {
  answer: SessionDto;
  secret: string;
}

/** Signing in and out, and the first set-up. */
@Injectable()
export class SessionService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly config: Config,
    private readonly passwords: Passwords,
    private readonly sessions: Sessions,
    private readonly links: SetupLinks,
    private readonly badges: Badges,
  ) {}

  async signIn({ login, password }: SignInDto): Promise<Begun> {
    const { laboratoryId } = this.config;
    const personId = await this.passwords.ofLogin(login, password);
    if (personId === null) {
      throw new Refusal('unauthenticated', 'sign-in-failed', 'The login or the password is not right; check both.');
    }
    const { id, secret } = await this.store.change(
      { laboratoryId, personId, deviceId: null },
      'person.signed-in',
      async (unit) => {
        await removeEndedSessions(unit);
        const session = await this.sessions.open(unit, personId);
        unit.about('session', session.id);
        return session;
      },
    );
    return { answer: await this.describe(id), secret };
  }

  /** Gives the session over to the person of a badge. */
  handOver(acting: Acting, asked: HandOverDto): Promise<Begun> {
    return this.begun(this.badges.handOver(acting, asked));
  }

  /** What the browser keeps of a session that was just opened. */
  async begun(opened: Promise<{ id: string; secret: string }>): Promise<Begun> {
    const { id, secret } = await opened;
    return { answer: await this.describe(id), secret };
  }

  current({ sessionId }: Acting): Promise<SessionDto> {
    if (sessionId === null) {
      throw new Refusal('forbidden', 'person-needed', 'A device has a token and no session; this is for people.');
    }
    return this.describe(sessionId);
  }

  async signOut(acting: Acting): Promise<void> {
    const { sessionId } = acting;
    if (sessionId === null) {
      throw new Refusal('forbidden', 'person-needed', 'A device has no session to end; revoke its token instead.');
    }
    await this.store.change(acting, 'person.signed-out', async (unit) => {
      await unit.remove(SessionRow, { id: sessionId });
      unit.about('session', sessionId);
    });
  }

  /** Changes the own password; every other session of the person ends. */
  async changePassword(acting: Acting, { password, newPassword }: NewPasswordDto): Promise<void> {
    const { personId } = acting;
    if (personId === null) throw new Refusal('forbidden', 'person-needed', 'A device has no password.');
    const { login } = await this.store.read(acting.laboratoryId, (view) =>
      view.need(PersonRow, { id: personId }, 'such person'),
    );
    usablePassword(newPassword, login, 'newPassword');
    if (!(await this.passwords.isOwn({ ...acting, personId }, password))) {
      throw new Refusal('forbidden', 'wrong-password', 'This is not your password until now; nothing was changed.');
    }
    const passwordHash = await this.passwords.hash(newPassword);
    await this.store.change(acting, 'person.password-changed', async (unit) => {
      await unit.change(PersonRow, { id: personId }, { passwordHash });
      // Whoever knew the old password may have made a badge.
      await unit.remove(BadgeRow, { personId });
      for (const { id } of await unit.all(SessionRow, { personId })) {
        if (id !== acting.sessionId) await unit.remove(SessionRow, { id });
      }
      unit.about('person', personId);
    });
  }

  /** Makes the first administrator, and the laboratory when the database holds none yet. */
  async setUp({ token, laboratory, name, login, password }: SetUpDto): Promise<{ id: string }> {
    const { laboratoryId } = this.config;
    await this.store.read(laboratoryId, (view) => this.links.check(view, token, this.clock.now()));
    usablePassword(password, login, 'password');
    const passwordHash = await this.passwords.hash(password);
    const program = { laboratoryId, personId: null, deviceId: null };
    return this.store.change(program, 'laboratory.set-up', async (unit) => {
      await this.links.use(unit, token);
      const added = await this.addLaboratoryOnce(unit, laboratory);
      const id = await addPerson(unit, { name, login, roles: ['administrator'], passwordHash });
      unit.about('person', id, { login, name, roles: ['administrator'], ...(added && { laboratory: added }) });
      return { id };
    });
  }

  private async addLaboratoryOnce(unit: Unit, laboratory: SetUpDto['laboratory']): Promise<SetUpDto['laboratory']> {
    if (await laboratoryOf(unit)) return undefined;
    if (!laboratory) {
      throw new Refusal('invalid', 'laboratory-needed', 'This database holds no laboratory yet.', [
        { at: 'laboratory', message: 'give the name of the laboratory and its IANA time zone, such as Europe/Lisbon' },
      ]);
    }
    const { name } = laboratory;
    const zone = knownZone(laboratory.zone);
    await addLaboratory(unit, { name, zone, demo: this.config.demo, driftPpm: DRIFT_PPM });
    await queueFirst(unit, zone, this.clock);
    return { name, zone };
  }

  private describe(sessionId: string): Promise<SessionDto> {
    return this.store.read(this.config.laboratoryId, async (view) => {
      const session = await view.need(SessionRow, { id: sessionId }, 'such session');
      const person = await view.need(PersonRow, { id: session.personId }, 'such person');
      const { id, name, login } = person;
      const laboratory = await laboratoryOf(view);
      if (!laboratory) throw new Error(`the laboratory ${view.laboratoryId} has people and no row of its own`);
      return {
        person: { id, name, login, roles: rolesIn(session, person) },
        csrf: session.csrf,
        laboratory: { id: laboratory.id, name: laboratory.name, zone: laboratory.zone, demo: laboratory.demo },
      };
    });
  }
}
