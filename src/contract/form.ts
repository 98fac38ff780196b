import 'reflect-metadata';
import { plainToInstance } from 'class-transformer';
import { getMetadataStorage, validateSync } from 'class-validator';
import type { ValidationError } from 'class-validator';
import type { Path, Problem } from '../core/protocol/problem.js';

/**
 * What is wrong with the form of a plain value, judged by the decorators of a contract class: keys that are unknown or
 * missing, kinds, choices, lengths and patterns; empty when the value has the class's shape. Each problem says what was
 * found and what would be right.
 */
export function formProblems(type: new () => object, plain: unknown): Problem[] {
  return formOf(type, plain).problems;
}

/** The value as an instance of its contract class, with what is wrong with its form. */
export function formOf<T extends object>(
  type: new () => T,
  plain: unknown,
): { problems: Problem[]; instance: T | null } {
  const refused = (problems: Problem[]) => ({ problems, instance: null });
  if (typeof plain !== 'object' || plain === null || Array.isArray(plain)) {
    return refused([{ path: [], code: 'form', message: `found ${shown(plain)}; it must be keys with values` }]);
  }
  const hidden = inheritedNames(plain, []);
  if (hidden.length > 0) {
    return refused(hidden);
  }
  const instance = plainToInstance(type, plain);
  const errors = validateSync(instance, {
    whitelist: true,
    forbidNonWhitelisted: true,
    forbidUnknownValues: true,
  });
  return { problems: errors.flatMap((error) => problemsOf(error, [], plain)), instance };
}

/** Keys such as constructor, which every object has by birth: class-transformer drops them before anything is judged. */
function inheritedNames(value: unknown, path: Path): Problem[] {
  if (typeof value !== 'object' || value === null) {
    return [];
  }
  return Object.entries(value).flatMap(([key, inner]) => {
    const at = [...path, Array.isArray(value) ? Number(key) : key];
    return !Array.isArray(value) && key in Object.prototype
      ? [{ path: at, code: 'unknown-key', message: `unknown key "${key}"; no file and no body here has one` }]
      : inheritedNames(inner, at);
  });
}

function problemsOf(error: ValidationError, parent: Path, plain: unknown): Problem[] {
  // A list's members arrive under their positions as text.
  const key = Array.isArray(error.target) ? Number(error.property) : error.property;
  const path = [...parent, key];
  const { whitelistValidation: unknown, nestedValidation: _covered, ...constraints } = error.constraints ?? {};
  const own = Object.values(constraints).map(plainly);
  const others = Object.entries(constraints).flatMap(([kind, said]) => (LENGTHS.includes(kind) ? [] : plainly(said)));
  const children = error.children ?? [];
  if (unknown !== undefined) {
    return [
      { path, code: 'unknown-key', message: `unknown key "${error.property}"; known here: ${knownKeys(error.target)}` },
    ];
  }
  if (error.value === undefined && own.length > 0) {
    const right = others.at(-1) ?? own.at(-1);
    return [{ path, code: 'missing-key', message: `"${error.property}" is missing; ${right}` }];
  }
  if (own.length > 0 && isEmpty(error.value, others.length < own.length)) {
    const right = others.length > 0 ? others.join('; ') : howFilled(error.value);
    return [{ path, code: 'form', message: `${error.property} is empty; ${right}` }];
  }
  if (own.length > 0) {
    return [{ path, code: 'form', message: `${own.join('; ')}; found ${shown(sentAt(plain, path))}` }];
  }
  return children.flatMap((child) => problemsOf(child, path, plain));
}

/** What stood there before any text was read as a number: 'soon' rather than NaN. */
function sentAt(plain: unknown, path: Path): unknown {
  return path.reduce<unknown>((value, key) => (value as Record<string | number, unknown>)[key], plain);
}

/** What of an empty value says no more than that it is empty. */
const LENGTHS = ['isLength', 'minLength', 'isNotEmpty', 'arrayMinSize', 'arrayNotEmpty'];

/** Whether there is nothing to judge: a text without a character, or a list that is refused for its size alone. */
function isEmpty(value: unknown, tooShort: boolean): boolean {
  return value === '' || (tooShort && Array.isArray(value) && value.length === 0);
}

function howFilled(value: unknown): string {
  return value === '' ? 'fill it in' : 'add at least one';
}

/** The validator's wording of sizes as people say it. */
function plainly(said: string): string {
  return said
    .replace(/must be longer than or equal to (\d+) characters$/, 'must have at least $1 characters')
    .replace(/must be shorter than or equal to (\d+) characters$/, 'must have at most $1 characters')
    .replace(/must contain at least (\d+) elements$/, 'must have at least $1 in its list')
    .replace(/must contain no more than (\d+) elements$/, 'must have at most $1 in its list');
}

function knownKeys(target: object | undefined): string {
  const metadata = target
    ? getMetadataStorage().getTargetValidationMetadatas(target.constructor, '', false, false)
    : [];
  return [...new Set(metadata.map((entry) => entry.propertyName))].join(', ');
}

function shown(value: unknown): string {
  if (typeof value === 'string') {
    return `the text ${JSON.stringify(value.length > 60 ? `${value.slice(0, 60)}…` : value)}`;
  }
  if (value === null || value === undefined) {
    return 'nothing';
  }
  if (Array.isArray(value)) {
    return 'a list';
  }
  return typeof value === 'object' ? 'keys with values' : String(value);
}
