import { counted } from '../../core/counted.js';
import { Injectable } from '@nestjs/common';
import { hash, verify } from '@node-rs/argon2';
import { Clock } from '../../clock.js';
import { Config } from '../../config.js';
import { lockedUntil } from '../../core/people/lockout.js';
import { passwordForm } from '../../core/people/password.js';
import { sha256 } from '../../core/record/record.js';
import { Refusal } from '../../core/refusal.js';
import { epochMs, type Instant } from '../../core/time/instant.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import { Store } from '../../store/store.js';
import type { Actor } from '../../store/unit.js';
import { newSecret } from './secrets.js';

/** Argon2id with 19 MiB, two passes and one lane: OWASP Password Storage Cheat Sheet, Argon2id. */
const COST = { memoryCost: 19_456, timeCost: 2, parallelism: 1 };

/** Logins that nobody has, and how often they were tried; more than these and the oldest is forgotten. */
const MOST_STRANGERS = 10_000;

interface Try {
  personId: string | null;
  /** What the password is compared with; for a login that nobody has, the hash of a secret that nobody knows. */
  passwordHash: string;
  mayBeRight: boolean;
  failures: number;
  lockedUntil: Instant | null;
}

/** Hashes passwords and tells right from wrong, more slowly with each wrong one. */
@Injectable()
export class Passwords {
  private readonly strangers = new Map<string, Pick<Try, 'failures' | 'lockedUntil'>>();
  private readonly nobodysHash = this.hash(newSecret());

  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly config: Config,
  ) {}

  hash(password: string): Promise<string> {
    return hash(passwordForm(password), COST);
  }

  /**
   * The person whose login and password these are, or null; refuses while the account waits. A login that nobody has
   * takes the same time, waits the same and gets the same answers. `at` names the field that asks, where there are several.
   */
  async ofLogin(typed: string, password: string, at?: string): Promise<string | null> {
    const login = typed.trim().toLowerCase();
    const { laboratoryId } = this.config;
    const actor = { laboratoryId, personId: null, deviceId: null };
    const tried = (await this.count({ login }, at)) ?? (await this.countStranger(login, at));
    return (await this.isRight(tried, password, actor, 'person.sign-in-failed')) ? tried.personId : null;
  }

  /** Whether it is the password of the person who acts, asked again for a signature; refuses while the account waits. */
  async isOwn(actor: Actor & { personId: string }, password: string, at?: string): Promise<boolean> {
    const tried = await this.count({ id: actor.personId }, at);
    return tried !== null && this.isRight(tried, password, actor, 'person.password-refused');
  }

  /** Whether it is what a hash was made of. */
  fits(hashed: string, password: string): Promise<boolean> {
    return verify(hashed, passwordForm(password));
  }

  /** A person of this laboratory by id. */
  person(id: string): Promise<PersonRow> {
    return this.store.read(this.config.laboratoryId, (view) => view.need(PersonRow, { id }, `person ${id}`));
  }

  /** Counts a try before its password is looked at, so that guesses at the same time cannot slip past the wait. */
  private count(who: { login: string } | { id: string }, at?: string): Promise<Try | null> {
    return this.store.housekeep(this.config.laboratoryId, async (unit) => {
      const person = await unit.one(PersonRow, who);
      if (!person) return null;
      const next = this.next(person, at);
      await unit.change(PersonRow, { id: person.id }, next);
      return { personId: person.id, passwordHash: person.passwordHash, mayBeRight: !person.disabled, ...next };
    });
  }

  private async countStranger(login: string, at?: string): Promise<Try> {
    const key = sha256(login);
    const next = this.next(this.strangers.get(key) ?? { failures: 0, lockedUntil: null }, at);
    this.strangers.delete(key);
    this.strangers.set(key, next);
    const [oldest] = this.strangers.keys();
    if (this.strangers.size > MOST_STRANGERS && oldest !== undefined) this.strangers.delete(oldest);
    return { personId: null, passwordHash: await this.nobodysHash, mayBeRight: false, ...next };
  }

  private next(before: Pick<Try, 'failures' | 'lockedUntil'>, at?: string): Pick<Try, 'failures' | 'lockedUntil'> {
    const now = this.clock.now();
    if (before.lockedUntil !== null && now < before.lockedUntil) {
      const seconds = Math.ceil((epochMs(before.lockedUntil) - epochMs(now)) / 1000);
      const message = `There were several wrong passwords for this login; try again in ${counted(seconds, 'second')}.`;
      throw new Refusal('too-many', 'account-waits', message, at === undefined ? [] : [{ at, message }], {
        retryAfterSeconds: seconds,
      });
    }
    const failures = before.failures + 1;
    return { failures, lockedUntil: lockedUntil(failures, now) };
  }

  private async isRight(tried: Try, password: string, actor: Actor, act: string): Promise<boolean> {
    const { personId, failures } = tried;
    const right = (await verify(tried.passwordHash, passwordForm(password))) && tried.mayBeRight;
    if (right && personId !== null) {
      await this.store.housekeep(actor.laboratoryId, (unit) =>
        unit.change(PersonRow, { id: personId }, { failures: 0, lockedUntil: null }),
      );
      return true;
    }
    await this.store.change(actor, act, async (unit) => {
      // What was typed as a login that nobody has may be a password; it is not kept.
      unit.about('person', personId ?? 'unknown', { failures, lockedUntil: tried.lockedUntil });
    });
    return false;
  }
}
