import { ApiProperty, ApiPropertyOptional } from '@nestjs/swagger';
import { ArrayUnique, IsArray, IsBoolean, IsIn, IsString, Length, Matches } from 'class-validator';
import { PASSWORD_MAX } from '../core/people/password.js';
import { ROLES, type Role } from '../core/people/roles.js';
import { MayBeAbsent, One, Text } from './shape.js';

/** What a person signs in with; letters are small, so that a tablet's capital at the start changes nothing. */
export const LOGIN = /^[a-z0-9][a-z0-9._-]{1,63}$/;

function Login(): PropertyDecorator {
  return Matches(LOGIN, {
    message: '$property must have 2 to 64 small letters, digits, dots, hyphens or underscores, such as brindle.ashe',
  });
}

/** Its strength is core's rule; this bounds what is read at all. */
function Password(): PropertyDecorator {
  return (target, property) => {
    IsString()(target, property);
    Length(1, PASSWORD_MAX * 2)(target, property);
  };
}

function Roles(): PropertyDecorator {
  return (target, property) => {
    for (const rule of [IsArray(), ArrayUnique(), IsIn(ROLES, { each: true })]) rule(target, property);
  };
}

export class SignInDto {
  @Text(200) login: string;
  @Password() password: string;
}

export class PersonNameDto {
  id: string;
  name: string;
  login: string;
  @ApiProperty({ enum: ROLES, isArray: true }) roles: Role[];
}

export class LaboratoryDto {
  id: string;
  name: string;
  /** IANA time zone. */
  zone: string;
  /** True for the invented laboratory. */
  demo: boolean;
}

export class SessionDto {
  person: PersonNameDto;
  /** To be repeated in the header X-CSRF-Token by each request that changes something. */
  csrf: string;
  laboratory: LaboratoryDto;
}

export class NewLaboratoryDto {
  @Text(200) name: string;
  /** IANA time zone, such as Europe/Lisbon. */
  @Text(64) zone: string;
}

export class SetUpDto {
  /** From the link that the program printed at its start. */
  @Text(200) token: string;
  /** Needed when the database holds no laboratory yet. */
  @MayBeAbsent() @One(() => NewLaboratoryDto) laboratory?: NewLaboratoryDto;
  @Text(200) name: string;
  @Login() login: string;
  @Password() password: string;
}

export class NewPasswordDto {
  /** The password until now. */
  @Password() password: string;
  @Password() newPassword: string;
}

export class NewBadgeDto {
  /** 6 to 8 digits. */
  @Text(16) pin: string;
  @Password() password: string;
}

export class BadgeLabelDto {
  /** To be printed; told once. */
  label: string;
  /** The badge in print, a PDF of the size of a usual card, in Base64. */
  pdf: string;
}

export class BadgePinDto extends NewBadgeDto {
  /** Label of the badge that was given, scanned. */
  @Text(64) badge: string;
}

export class HandOverDto {
  /** Label of the badge, scanned. */
  @Text(64) badge: string;
  @Text(16) pin: string;
}

export class NewDayPassDto {
  /** P-256, in DER (SubjectPublicKeyInfo) and Base64url; its private half stays on the device. */
  @Text(200) publicKey: string;
}

export class DayPassDto {
  id: string;
  /** It proves nothing that happens after this instant. */
  endsAt: string;
}

export class PassHandOverDto {
  /** Id of the day pass. */
  @Text(64) pass: string;
  /** ECDSA with SHA-256 over the pass and this session's CSRF token, in Base64url. */
  @Text(200) proof: string;
}

export class NewPersonDto {
  @Text(200) name: string;
  @Login() login: string;
  @Roles() @ApiProperty({ enum: ROLES, isArray: true }) roles: Role[];
  @Password() password: string;
}

export class PersonChangeDto {
  @MayBeAbsent() @Roles() @ApiPropertyOptional({ enum: ROLES, isArray: true }) roles?: Role[];
  @MayBeAbsent() @IsBoolean() disabled?: boolean;
  @MayBeAbsent() @Password() password?: string;
}

export class PersonDto extends PersonNameDto {
  disabled: boolean;
  /** Sign-in is refused before this instant. */
  lockedUntil: string | null;
  createdAt: string;
  /** Since when they have the badge that takes a station over; null without one. */
  badgeSince: string | null;
  /** Whether that badge waits for its owner to set its PIN. */
  badgeWithoutPin: boolean;
}

export class NewDeviceDto {
  @Text(200) name: string;
  @Roles() @ApiProperty({ enum: ROLES, isArray: true }) roles: Role[];
}

export class DeviceDto {
  id: string;
  name: string;
  @ApiProperty({ enum: ROLES, isArray: true }) roles: Role[];
  createdAt: string;
  revokedAt: string | null;
}

export class DeviceWithTokenDto extends DeviceDto {
  /** Shown in the first answer only; null in the answer to a repeat, when the device must be revoked and made anew. */
  token: string | null;
}
