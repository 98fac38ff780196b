import { Readable } from 'node:stream';
import { type ArgumentMetadata, Injectable, type PipeTransform } from '@nestjs/common';
import { getMetadataStorage } from 'class-validator';
import { formOf } from '../../contract/form.js';
import { Refusal } from '../../core/refusal.js';

/**
 * Turns what a request brings into its contract class, or refuses it with every problem and where it stands. A body or
 * query whose handler names no contract class is a mistake of ours and passes for nobody.
 */
@Injectable()
export class FormPipe implements PipeTransform {
  transform(value: unknown, { type, metatype, data }: ArgumentMetadata): unknown {
    // A file, not read yet, is its handler's matter.
    if (value instanceof Readable) return value;
    refuseUnstorable(value, data ?? '');
    if (type === 'query' && data !== undefined && value !== undefined && typeof value !== 'string') {
      throw wrong(data, 'stands more than once; give it once');
    }
    // One named parameter of the path or query is text as it came; a custom decorator answers for its own.
    if (type === 'custom' || ((type === 'param' || type === 'query') && data !== undefined)) return value;
    if (!isContract(metatype)) throw new Error(`the ${type} of this route is declared without a contract class`);
    const given = value === undefined ? {} : value;
    const { problems, instance } = formOf(metatype, given);
    if (problems.length > 0 || instance === null) {
      throw new Refusal(
        'invalid',
        'invalid-input',
        `What was sent has ${problems.length === 1 ? 'a problem' : `${problems.length} problems`}; nothing was done.`,
        problems.slice(0, MOST_TOLD).map(({ path, message }) => ({ at: path.join('.'), message })),
      );
    }
    return instance;
  }
}

/** More would not be read. */
const MOST_TOLD = 100;

/** More members than any list or object of the contract has; judging each of so many keeps everybody else waiting. */
const MOST_MEMBERS = 5000;

/** Deeper than anything that the contract describes, shallower than the stack. */
const DEEPEST = 32;

/**
 * Text that no database keeps and no UTF-8 spells: the character U+0000 and halves of surrogate pairs; and depth and
 * length without end.
 */
function refuseUnstorable(value: unknown, at: string, depth = 0): void {
  if (typeof value === 'string') {
    if (!value.includes('\u0000') && value.isWellFormed()) return;
    throw wrong(at, 'holds a character that cannot be kept (U+0000 or half of a surrogate pair); leave it out');
  }
  if (typeof value !== 'object' || value === null) return;
  if (depth === DEEPEST) throw wrong(at, `is nested more than ${DEEPEST} deep; nothing here goes so deep`);
  const members = Object.entries(value);
  if (members.length > MOST_MEMBERS) {
    throw wrong(at, `has ${members.length} members; nothing here has more than ${MOST_MEMBERS}`);
  }
  for (const [key, member] of members) {
    refuseUnstorable(key, at, depth);
    refuseUnstorable(member, at === '' ? key : `${at}.${key}`, depth + 1);
  }
}

function wrong(at: string, message: string): Refusal {
  return new Refusal('invalid', 'invalid-input', 'What was sent has a problem; nothing was done.', [{ at, message }]);
}

function isContract(metatype: ArgumentMetadata['metatype']): metatype is new () => object {
  return (
    metatype !== undefined && getMetadataStorage().getTargetValidationMetadatas(metatype, '', false, false).length > 0
  );
}
