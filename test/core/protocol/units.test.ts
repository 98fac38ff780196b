import { describe, expect, it } from '@jest/globals';
import { unitFault } from '../../../src/core/protocol/units.js';

// Codes and traps: UCUM (https://ucum.org), as checked by a UCUM validator.
describe('units of a concentration', () => {
  it.each([
    'g/L',
    'mg/mL',
    'ug/mL',
    'mol/L',
    'mmol/L',
    'umol/L',
    '%',
    '%{w/v}',
    '%{vol}',
    "[arb'U]/mL",
    '[IU]/mL',
    'U/mL',
    '1',
    'mol/kg',
    '[ppm]',
  ])('%s is one', (code) => expect(unitFault(code, 'concentration')).toBeUndefined());

  it.each([
    ['pH', '"pH" means picohenry in UCUM; write "[pH]"'],
    ['µg/mL', '"µg/mL" is not a UCUM code; write "ug/mL"'],
    ['mM', '"mM" is not a UCUM code; write "mmol/L"'],
    ['M', '"M" is not a UCUM code; write "mol/L"'],
    ['ppm', '"ppm" is not a UCUM code; write "[ppm]"'],
    ['mg / mL', '"mg / mL" is not a UCUM code; write one such as g/L, mg/mL, mmol/L, % or U/mL'],
    ['spoonful', '"spoonful" is not a UCUM code; write one such as g/L, mg/mL, mmol/L, % or U/mL'],
  ])('%s is none and the right one is named', (code, message) => {
    expect(unitFault(code, 'concentration')).toBe(message);
  });

  it.each(['mL', 's', 'Cel', '[pH]', 'um', 'g'])('%s measures something else', (code) => {
    expect(unitFault(code, 'concentration')).toMatch(/is no unit of concentration/);
  });
});

describe('units of a temperature', () => {
  it.each(['Cel', 'K', '[degF]'])('%s is one', (code) => expect(unitFault(code, 'temperature')).toBeUndefined());

  it.each([
    ['C', '"C" means coulomb in UCUM; write "Cel"'],
    ['degF', '"degF" is not a UCUM code; write "[degF]"'],
    ['°C', '"°C" is not a UCUM code; write "Cel"'],
    ['min', '"min" is no unit of temperature; write one such as Cel or K'],
    ['constructor', '"constructor" is not a UCUM code; write one such as Cel or K'],
  ])('%s is none', (code, message) => expect(unitFault(code, 'temperature')).toBe(message));
});
