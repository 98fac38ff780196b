import { Column, Entity, Index, PrimaryColumn } from 'typeorm';
import type { Role } from '../../core/people/roles.js';
import type { Instant } from '../../core/time/instant.js';

/** An account. It is never deleted and its id never given to another (21 CFR 11.100(a)). */
@Entity('person')
@Index('person_login', ['laboratoryId', 'login'], { unique: true })
export class PersonRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @Column('text')
  login: string;

  @Column('text')
  name: string;

  @Column('simple-json')
  roles: Role[];

  /** Argon2id hash in its standard text form. */
  @Column('text')
  passwordHash: string;

  @Column('boolean')
  disabled: boolean;

  /** Failed sign-ins since the last good one. */
  @Column('integer')
  failures: number;

  /** Sign-in is refused before this instant. */
  @Column('text', { nullable: true })
  lockedUntil: Instant | null;

  @Column('text')
  createdAt: Instant;
}

/** A signed-in browser; the id is the SHA-256 of the cookie's secret. */
@Entity('session')
@Index('session_person', ['personId'])
export class SessionRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @Column('text')
  personId: string;

  @Column('text', { nullable: true })
  deviceId: string | null;

  /** Null for a password. */
  @Column('text', { nullable: true })
  openedBy: 'badge' | 'day-pass' | null;

  /** Sent back in a header by every request that changes something. */
  @Column('text')
  csrf: string;

  @Column('text')
  createdAt: Instant;

  @Column('text')
  expiresAt: Instant;
}

/** A bench station or a program that acts with a token of its own; the token is stored as SHA-256. */
@Entity('device')
@Index('device_token', ['tokenHash'], { unique: true })
export class DeviceRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @Column('text')
  name: string;

  @Column('simple-json')
  roles: Role[];

  @Column('text')
  tokenHash: string;

  @Column('text')
  createdAt: Instant;

  @Column('text', { nullable: true })
  revokedAt: Instant | null;
}

/** A link by which the first administrator sets up the laboratory, once. */
@Entity('setup_link')
export class SetupLinkRow {
  /** SHA-256 of the link's secret. */
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @Column('text')
  expiresAt: Instant;

  @Column('text', { nullable: true })
  usedAt: Instant | null;
}
