import { type ArgumentMetadata, Injectable, type PipeTransform } from '@nestjs/common';
import { plainToInstance } from 'class-transformer';
import { getMetadataStorage } from 'class-validator';
import { formProblems } from '../../contract/form.js';
import { Refusal } from '../../core/refusal.js';

/**
 * Turns what a request brings into its contract class, or refuses it with every problem and where it stands. A body or
 * query whose handler names no contract class is a mistake of ours and passes for nobody.
 */
@Injectable()
export class FormPipe implements PipeTransform {
  transform(value: unknown, { type, metatype, data }: ArgumentMetadata): unknown {
    // One named parameter of the path or query is text as it came; a custom decorator answers for its own.
    if (type === 'custom' || ((type === 'param' || type === 'query') && data !== undefined)) return value;
    if (!isContract(metatype)) throw new Error(`the ${type} of this route is declared without a contract class`);
    const given = value === undefined ? {} : value;
    const problems = formProblems(metatype, given);
    if (problems.length > 0) {
      throw new Refusal(
        'invalid',
        'invalid-input',
        `What was sent has ${problems.length === 1 ? 'a problem' : `${problems.length} problems`}; nothing was done.`,
        problems.map(({ path, message }) => ({ at: path.join('.'), message })),
      );
    }
    return plainToInstance(metatype, given);
  }
}

function isContract(metatype: ArgumentMetadata['metatype']): metatype is new () => object {
  return (
    metatype !== undefined && getMetadataStorage().getTargetValidationMetadatas(metatype, '', false, false).length > 0
  );
}
