import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type { BadgeLabelDto, BadgePinDto, HandOverDto, NewBadgeDto } from '../../contract/people.dto.js';
import { makeLabel, readLabel } from '../../core/gs1/label.js';
import { lockedUntil } from '../../core/people/lockout.js';
import { pinFault } from '../../core/people/pin.js';
import { atBench } from '../../core/people/roles.js';
import { sha256 } from '../../core/record/record.js';
import { Refusal } from '../../core/refusal.js';
import { badgePdf, type BadgeInPrint } from '../../reports/badge.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { unusedLabel } from '../../store/questions/labels.js';
import { BadgeRow } from '../../store/rows/badges.entity.js';
import { PersonRow, SessionRow } from '../../store/rows/people.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { Acting } from '../http/access.js';
import { Passwords } from '../http/passwords.js';
import { newSecret } from '../http/secrets.js';
import { Sessions } from '../http/sessions.js';
import { Signing } from '../http/signing.js';

const NO_FAILURES = { failures: 0, lockedUntil: null };

/** Badges and PINs, by which people take over a station without typing a password. */
@Injectable()
export class Badges {
  /** Compared with when a badge is unknown, so that the answer takes the same time. */
  private readonly nobodysHash: Promise<string>;

  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
    private readonly passwords: Passwords,
    private readonly sessions: Sessions,
    private readonly signing: Signing,
  ) {
    this.nobodysHash = passwords.hash(newSecret());
  }

  /** Makes the person's own badge, which ends the one before; its label is told once and kept as a hash. */
  async make(acting: Acting, { pin, password }: NewBadgeDto): Promise<BadgeLabelDto> {
    refuseWeak(pin);
    const { personId } = await this.signing.confirm(acting, password);
    const pinHash = await this.passwords.hash(pin);
    const made = await this.store.change(acting, 'person.badge-made', async (unit) => {
      const person = await unit.need(PersonRow, { id: personId }, 'such person');
      unit.about('person', personId);
      return newBadge(unit, person, { pinHash, pinAt: unit.at });
    });
    return inPrint(made);
  }

  /**
   * Gives a person a badge, which ends the one before; its label is told once and kept as a hash. Who gives it knows no PIN:
   * it serves once its owner has set one.
   */
  async give(acting: Acting, personId: string): Promise<BadgeLabelDto> {
    const pinHash = await this.passwords.hash(newSecret());
    const made = await this.store.change(acting, 'person.badge-given', async (unit) => {
      const person = await unit.need(PersonRow, { id: personId }, `person ${personId}`);
      if (person.disabled || atBench(person.roles).length === 0) {
        const why = person.disabled ? 'their account is closed' : 'they have no role at the bench';
        throw new Refusal(
          'conflict',
          'no-use-for-badge',
          `${person.name} has no use for a badge: ${why}. Change the account first.`,
        );
      }
      unit.about('person', personId);
      return newBadge(unit, person, { pinHash, pinAt: null });
    });
    return inPrint(made);
  }

  /** Sets the PIN of the badge that the person was given; a badge that has one keeps it. */
  async setPin(acting: Acting, { badge, pin, password }: BadgePinDto): Promise<void> {
    refuseWeak(pin);
    const { personId } = await this.signing.confirm(acting, password);
    const pinHash = await this.passwords.hash(pin);
    await this.store.change(acting, 'person.badge-pin-set', async (unit) => {
      const label = readLabel(badge);
      const id = label.valid && label.kind === 'B' ? idOf(makeLabel(label.kind, label.id)) : null;
      const own = id === null ? null : await unit.one(BadgeRow, { id, personId });
      if (!own) {
        throw new Refusal(
          'conflict',
          'not-own-badge',
          'This is not the badge that you were given last; scan that one.',
          [{ at: 'badge', message: 'scan the badge that you were given' }],
        );
      }
      if (own.pinAt !== null) {
        throw new Refusal(
          'conflict',
          'badge-has-pin',
          'This badge has its PIN already, and a badge keeps it. For another PIN make a new badge.',
        );
      }
      await unit.change(BadgeRow, { id: own.id }, { pinHash, pinAt: unit.at, ...NO_FAILURES });
      unit.about('person', personId);
    });
  }

  /** Gives the session of this browser over to the person of a badge; who acted before is signed out. */
  async handOver(acting: Acting, { badge, pin }: HandOverDto): Promise<{ id: string; secret: string }> {
    const { sessionId, personId: before } = acting;
    if (sessionId === null) throw new Refusal('forbidden', 'person-needed', 'A device is no person to take over from.');
    const label = readLabel(badge);
    const tried =
      label.valid && label.kind === 'B' ? await this.count(acting, idOf(makeLabel(label.kind, label.id))) : null;
    const right = await this.passwords.fits(tried?.pinHash ?? (await this.nobodysHash), pin);
    const person = tried && right ? await this.passwords.person(tried.personId) : null;
    if (!tried || !person || person.disabled) {
      await this.store.change(acting, 'person.hand-over-refused', (unit) => {
        unit.about('person', tried?.personId ?? 'unknown', { failures: tried?.failures ?? 1 });
        return Promise.resolve();
      });
      throw new Refusal(
        'forbidden',
        'badge-or-pin',
        'Badge and PIN do not fit, or the badge waits after several wrong PINs; try again in a while, or sign in with the password.',
      );
    }
    if (atBench(person.roles).length === 0) {
      // The PIN was right: nothing was guessed.
      await this.store.housekeep(acting.laboratoryId, (unit) => unit.change(BadgeRow, { id: tried.id }, NO_FAILURES));
      throw new Refusal(
        'forbidden',
        'no-bench-role',
        `${person.name} has no role at the bench; sign in with the password instead.`,
      );
    }
    return this.store.change({ ...acting, personId: person.id }, 'person.took-over', async (unit) => {
      await unit.change(BadgeRow, { id: tried.id }, NO_FAILURES);
      await unit.remove(SessionRow, { id: sessionId });
      const session = await this.sessions.open(unit, person.id, 'badge');
      unit.about('session', session.id, { from: before });
      return session;
    });
  }

  /** Ends a person's badge: it was lost, or they left. */
  async end(acting: Acting, personId: string): Promise<void> {
    await this.store.change(acting, 'person.badge-ended', async (unit) => {
      await unit.need(PersonRow, { id: personId }, `person ${personId}`);
      if (!(await unit.one(BadgeRow, { personId }))) {
        throw new Refusal('not-found', 'no-badge', 'This person has no badge.');
      }
      await unit.remove(BadgeRow, { personId });
      unit.about('person', personId);
    });
  }

  /** Counts a try before its PIN is looked at, so that guesses at the same time cannot slip past the wait. */
  private count({ laboratoryId }: Acting, id: string): Promise<BadgeRow | null> {
    return this.store.housekeep(laboratoryId, async (unit) => {
      const badge = await unit.one(BadgeRow, { id });
      const now = this.clock.now();
      // One that waits answers like one that nobody has, so that trying tells neither.
      if (!badge || (badge.lockedUntil !== null && now < badge.lockedUntil)) return null;
      const failures = badge.failures + 1;
      const next = { failures, lockedUntil: lockedUntil(failures, now) };
      await unit.change(BadgeRow, { id }, next);
      return Object.assign(badge, next);
    });
  }
}

function refuseWeak(pin: string): void {
  const fault = pinFault(pin);
  if (fault) throw new Refusal('invalid', 'weak-pin', 'This PIN cannot be used.', [{ at: 'pin', message: fault }]);
}

async function newBadge(
  unit: Unit,
  person: PersonRow,
  pin: Pick<BadgeRow, 'pinHash' | 'pinAt'>,
): Promise<BadgeInPrint> {
  const label = await unusedLabel(unit, 'B');
  await unit.remove(BadgeRow, { personId: person.id });
  await unit.add(BadgeRow, { id: idOf(label), personId: person.id, ...pin, ...NO_FAILURES, createdAt: unit.at });
  const { name, demo } = await needLaboratory(unit);
  return { label, person: person.name, laboratory: { name, demo } };
}

/** The label leaves the program with this one answer. */
async function inPrint(badge: BadgeInPrint): Promise<BadgeLabelDto> {
  return { label: badge.label, pdf: (await badgePdf(badge)).toString('base64') };
}

/** What stands for a badge's label in the database. */
function idOf(label: string): string {
  return sha256(label);
}
