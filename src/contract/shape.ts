import { Transform, Type } from 'class-transformer';
import {
  ArrayMaxSize,
  ArrayUnique,
  IsArray,
  IsInt,
  IsNumber,
  IsObject,
  IsString,
  Length,
  Matches,
  Max,
  Min,
  ValidateBy,
  ValidateIf,
  ValidateNested,
} from 'class-validator';
import { isInstant } from '../core/time/instant.js';

/** Lower-case words joined by hyphens, for what people read and name. */
export const ID = /^[a-z0-9]+(-[a-z0-9]+)*$/;
/** How sources are named: lower-case letters, digits and underscores. */
export const SOURCE_KEY = /^[a-z0-9_]+$/;

function all(...decorators: PropertyDecorator[]): PropertyDecorator {
  return (target, property) => decorators.forEach((decorate) => decorate(target, property));
}

/** The key may be left out; null is no way of leaving it out, which class-validator's own IsOptional would allow. */
export function MayBeAbsent(): PropertyDecorator {
  return ValidateIf((_object: unknown, value: unknown) => value !== undefined);
}

/** Text of one to `max` characters. */
export function Text(max: number): PropertyDecorator {
  return all(IsString(), Length(1, max));
}

/** A name of lower-case words joined by hyphens. */
export function Id(): PropertyDecorator {
  return all(
    IsString(),
    Length(1, 64),
    Matches(ID, { message: '$property must be lower-case words joined by hyphens, such as rinse-blood' }),
  );
}

/** A finite number of zero or more. */
export function Amount(): PropertyDecorator {
  return all(Finite(), Min(0));
}

/** A finite number, negative ones included. */
export function Finite(): PropertyDecorator {
  return IsNumber({ allowNaN: false, allowInfinity: false }, { message: '$property must be a number' });
}

/** A number of an entry in the record, as the databases keep it. */
export function RecordNumber(): PropertyDecorator {
  return all(
    Type(() => Number),
    IsInt(),
    Min(0),
    Max(2_147_483_647),
  );
}

/** One object of that class; an empty array, which ValidateNested alone lets pass, is none. */
export function One(type: () => new () => object): PropertyDecorator {
  return all(IsObject(), ValidateNested(), Type(type));
}

/**
 * A list of objects of that class. One member more than allowed is enough to refuse it: judging each of what a megabyte
 * holds takes half a minute in which nobody else is answered.
 */
export function Many(type: () => new () => object, max: number): PropertyDecorator {
  const enough = ({ value }: { value: unknown }): unknown => (Array.isArray(value) ? value.slice(0, max + 1) : value);
  return all(
    IsArray(),
    ArrayMaxSize(max),
    IsObject({ each: true }),
    ValidateNested({ each: true }),
    Type(type),
    Transform(enough),
  );
}

/** A list of names that match the pattern. */
export function Names(pattern: RegExp, example: string): PropertyDecorator {
  return all(
    IsArray(),
    ArrayMaxSize(50),
    IsString({ each: true }),
    Length(1, 64, { each: true }),
    Matches(pattern, { each: true, message: `each of $property must be written like ${example}` }),
  );
}

/** A list of ids, each once. */
export function Ids(max: number): PropertyDecorator {
  return all(IsArray(), ArrayMaxSize(max), ArrayUnique(), IsString({ each: true }), Length(1, 64, { each: true }));
}

/** An instant as the program writes it. */
export function IsInstant(): PropertyDecorator {
  const message = '$property must be an instant in UTC with milliseconds, like 2026-11-25T09:08:17.000Z';
  return ValidateBy({ name: 'isInstant', validator: { validate: isInstant } }, { message });
}
