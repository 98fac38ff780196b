import { Injectable } from '@nestjs/common';
import { v7 as newId } from 'uuid';
import {
  DeviceDto,
  DeviceWithTokenDto,
  NewDeviceDto,
  NewPersonDto,
  PersonChangeDto,
  PersonDto,
} from '../../contract/people.dto.js';
import { sha256 } from '../../core/record/record.js';
import { Refusal } from '../../core/refusal.js';
import { BadgeRow } from '../../store/rows/badges.entity.js';
import { DeviceRow, PersonRow, SessionRow } from '../../store/rows/people.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { Acting, onceOf } from '../http/access.js';
import { Passwords } from '../http/passwords.js';
import { newSecret } from '../http/secrets.js';
import { addPerson, usablePassword, usableRoles } from './accounts.js';

/** Accounts of people and tokens of devices, kept by administrators. */
@Injectable()
export class PeopleService {
  constructor(
    private readonly store: Store,
    private readonly passwords: Passwords,
  ) {}

  people({ laboratoryId }: Acting): Promise<PersonDto[]> {
    return this.store.read(laboratoryId, async (view) => {
      const badges = new Map((await view.all(BadgeRow)).map((badge) => [badge.personId, badge]));
      return (await view.all(PersonRow)).map((person) => shownPerson(person, badges.get(person.id) ?? null));
    });
  }

  async add(acting: Acting, asked: NewPersonDto, key: string | undefined): Promise<PersonDto> {
    const { name, login, roles, password } = asked;
    usableRoles(roles);
    usablePassword(password, login, 'password');
    const passwordHash = await this.passwords.hash(password);
    return this.store.change(
      acting,
      'person.added',
      async (unit) => {
        const id = await addPerson(unit, { name, login, roles, passwordHash });
        unit.about('person', id, { login, name, roles });
        return shownPerson(await needPerson(unit, id), await unit.one(BadgeRow, { personId: id }));
      },
      onceOf(key, asked),
    );
  }

  /** Changes roles, password or whether the account may be used; the latter two end the person's sessions. */
  async change(acting: Acting, id: string, { roles, disabled, password }: PersonChangeDto): Promise<PersonDto> {
    if (roles === undefined && disabled === undefined && password === undefined) {
      throw new Refusal('invalid', 'nothing-to-change', 'Say what changes: roles, disabled or password.');
    }
    if (roles) usableRoles(roles);
    const { login } = await this.store.read(acting.laboratoryId, (view) =>
      view.need(PersonRow, { id }, `person ${id}`),
    );
    if (password !== undefined) usablePassword(password, login, 'password');
    const passwordHash = password === undefined ? undefined : await this.passwords.hash(password);
    return this.store.change(acting, 'person.changed', async (unit) => {
      await unit.change(
        PersonRow,
        { id },
        {
          ...(roles && { roles }),
          ...(disabled !== undefined && { disabled }),
          ...(passwordHash !== undefined && { passwordHash, failures: 0, lockedUntil: null }),
        },
      );
      await refuseWithoutAdministrator(unit);
      if (disabled === true || passwordHash !== undefined) {
        await unit.remove(SessionRow, { personId: id });
        await unit.remove(BadgeRow, { personId: id });
      }
      unit.about('person', id, {
        ...(roles && { roles }),
        ...(disabled !== undefined && { disabled }),
        ...(passwordHash !== undefined && { password: 'changed' }),
      });
      return shownPerson(await needPerson(unit, id), await unit.one(BadgeRow, { personId: id }));
    });
  }

  devices({ laboratoryId }: Acting): Promise<DeviceDto[]> {
    return this.store.read(laboratoryId, async (view) => (await view.all(DeviceRow)).map(shownDevice));
  }

  async addDevice(acting: Acting, asked: NewDeviceDto, key: string | undefined): Promise<DeviceWithTokenDto> {
    const { name, roles } = asked;
    usableRoles(roles);
    const token = newSecret();
    const tokenHash = sha256(token);
    // The answer is kept for repeats, so the token itself stays out of it.
    const { device, made } = await this.store.change(
      acting,
      'device.added',
      async (unit) => {
        const id = newId();
        await unit.add(DeviceRow, { id, name, roles, tokenHash, createdAt: unit.at, revokedAt: null });
        unit.about('device', id, { name, roles });
        return { device: shownDevice(await unit.need(DeviceRow, { id }, `device ${id}`)), made: tokenHash };
      },
      onceOf(key, asked),
    );
    return { ...device, token: made === tokenHash ? token : null };
  }

  async revokeDevice(acting: Acting, id: string): Promise<void> {
    await this.store.change(acting, 'device.revoked', async (unit) => {
      const { revokedAt, name } = await unit.need(DeviceRow, { id }, `device ${id}`);
      if (revokedAt !== null) return;
      await unit.change(DeviceRow, { id }, { revokedAt: unit.at });
      unit.about('device', id, { name });
    });
  }
}

function needPerson(unit: Unit, id: string): Promise<PersonRow> {
  return unit.need(PersonRow, { id }, `person ${id}`);
}

async function refuseWithoutAdministrator(unit: Unit): Promise<void> {
  const able = (await unit.all(PersonRow, { disabled: false })).filter(({ roles }) => roles.includes('administrator'));
  if (able.length > 0) return;
  throw new Refusal(
    'conflict',
    'last-administrator',
    'This would leave nobody who can administer accounts; make another person an administrator first.',
  );
}

function shownPerson(
  { id, name, login, roles, disabled, lockedUntil, createdAt }: PersonRow,
  badge: BadgeRow | null,
): PersonDto {
  const badgeSince = badge?.createdAt ?? null;
  const badgeWithoutPin = badge !== null && badge.pinAt === null;
  return { id, name, login, roles, disabled, lockedUntil, createdAt, badgeSince, badgeWithoutPin };
}

function shownDevice({ id, name, roles, createdAt, revokedAt }: DeviceRow): DeviceDto {
  return { id, name, roles, createdAt, revokedAt };
}
