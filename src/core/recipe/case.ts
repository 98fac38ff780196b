import { Refusal } from '../refusal.js';
import { Fields } from '../time/fields.js';
import { bufferComposition, type AcidConstant } from './buffer.js';
import { molarMass } from './formula.js';
import type { Quantity } from './quantity.js';
import { scaleRecipe } from './scale.js';
import { concentrationOf, dilute, massToWeigh, serialDilution } from './solution.js';

const OPERATIONS: Record<string, (fields: Fields) => object> = {
  molarMass: (fields) => ({ gPerMol: molarMass(fields.text('formula')) }),
  weigh: (fields) => ({
    massG: massToWeigh(quantity(fields, 'concentration'), quantity(fields, 'volume'), formulaOf(fields)),
  }),
  concentration: (fields) => {
    const unit = fields.text('unit');
    const value = concentrationOf(quantity(fields, 'mass'), quantity(fields, 'volume'), unit, formulaOf(fields));
    return { concentration: { value, unit } };
  },
  dilute: (fields) =>
    dilute(quantity(fields, 'from'), quantity(fields, 'to'), quantity(fields, 'volume'), formulaOf(fields)),
  serialDilution: (fields) => ({
    tubes: serialDilution(
      quantity(fields, 'from'),
      fields.number('factor'),
      fields.number('tubes'),
      quantity(fields, 'volume'),
    ),
  }),
  buffer: (fields) =>
    bufferComposition({
      acid: fields.object('acid').onlyKeys('formula').text('formula'),
      base: fields.object('base').onlyKeys('formula').text('formula'),
      constant: readConstant(fields),
      pH: fields.signed('pH'),
      total: quantity(fields, 'total'),
      volume: quantity(fields, 'volume'),
    }),
  scale: (fields) => {
    const lines = fields.list('lines').map((line) => {
      line.onlyKeys('takes', 'amount');
      return { takes: line.text('takes'), amount: quantity(line, 'amount') };
    });
    const recipe = { code: 'the recipe', makes: quantity(fields, 'makes'), lines };
    return { lines: scaleRecipe(recipe, quantity(fields, 'volume')).lines };
  },
};

/**
 * Answers `compute recipe`: one case `{id, op, …}` as given in JSON, `op` being molarMass, weigh, concentration, dilute,
 * serialDilution, buffer or scale; refuses one that cannot be computed. `computeRecipe({id: 'a', op: 'molarMass',
 * formula: 'NaCl'})` is `{id: 'a', gPerMol: 58.43976928}`.
 */
export function computeRecipe(input: unknown): object {
  const fields = new Fields(input);
  const id = fields.text('id');
  const op = fields.text('op');
  const operation = Object.hasOwn(OPERATIONS, op) ? OPERATIONS[op] : undefined;
  if (!operation) {
    const message = `op is "${op}"; give one of ${Object.keys(OPERATIONS).join(', ')}`;
    throw new Refusal('invalid', 'malformed-case', message, [{ at: 'op', message }]);
  }
  return { id, ...operation(fields) };
}

function quantity(fields: Fields, name: string): Quantity {
  const inner = fields.object(name).onlyKeys('value', 'unit');
  return { value: inner.signed('value'), unit: inner.text('unit') };
}

function formulaOf(fields: Fields): string | undefined {
  return fields.has('formula') ? fields.text('formula') : undefined;
}

const MOVING = ['temperatureCel', 'pKaAtCel', 'pKaPerCel'];

function readConstant(fields: Fields): AcidConstant {
  const pKa = fields.signed('pKa');
  if (!MOVING.some((name) => fields.has(name))) return { pKa };
  return {
    pKa,
    moves: {
      usedAtCel: fields.signed('temperatureCel'),
      atCel: fields.signed('pKaAtCel'),
      perCel: fields.signed('pKaPerCel'),
    },
  };
}
