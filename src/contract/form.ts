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
  const own = Object.values(constraints);
  const children = error.children ?? [];
  if (unknown !== undefined) {
    return [
      { path, code: 'unknown-key', message: `unknown key "${error.property}"; known here: ${knownKeys(error.target)}` },
    ];
  }
  if (error.value === undefined && own.length > 0) {
    return [{ path, code: 'missing-key', message: `"${error.property}" is missing; ${own[own.length - 1]}` }];
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
