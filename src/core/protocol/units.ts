import ucum, { type UcumUnit } from '@lhncbc/ucum-lhc';

/** What a unit in a protocol measures. */
export type Measure = 'concentration' | 'temperature';

const DIMENSIONLESS = '0,0,0,0,0,0,0';

const DIMENSIONS: Record<Measure, { vectors: string[]; such: string }> = {
  // Mass, amount or arbitrary units per volume, catalytic activity per volume, amount per mass, and plain ratios.
  concentration: {
    vectors: ['-3,0,1,0,0,0,0', '-3,0,0,0,0,0,0', '-3,-1,0,0,0,0,0', '0,0,-1,0,0,0,0', DIMENSIONLESS],
    such: 'g/L, mg/mL, mmol/L, % or U/mL',
  },
  temperature: { vectors: ['0,0,0,0,1,0,0'], such: 'Cel or K' },
};

/** What people write at the bench, and the code of UCUM that they mean. */
const MEANT: Record<string, string> = {
  µL: 'uL',
  μL: 'uL',
  'µg/mL': 'ug/mL',
  'μg/mL': 'ug/mL',
  'µmol/L': 'umol/L',
  'μmol/L': 'umol/L',
  M: 'mol/L',
  mM: 'mmol/L',
  uM: 'umol/L',
  µM: 'umol/L',
  μM: 'umol/L',
  C: 'Cel',
  '°C': 'Cel',
  degC: 'Cel',
  F: '[degF]',
  '°F': '[degF]',
  degF: '[degF]',
  pH: '[pH]',
  rpm: '{rpm}',
  ppm: '[ppm]',
  'IU/mL': '[IU]/mL',
};

/** Codes that UCUM knows under another meaning than the one a bench would expect. */
const TRAPS: Record<string, string> = { pH: 'picohenry', C: 'coulomb', F: 'farad' };

/** Concentrations that share the dimension of an amount per volume and are none. */
const NOT_A_CONCENTRATION = new Set(['[pH]', 'L-1', '/L', '/mL', 'mL-1']);

/**
 * Says what is wrong with a unit code, and what would be right; undefined when it is a UCUM code of that measure.
 * Source: UCUM, https://ucum.org, by the package's tables. `unitFault('µL', 'concentration')` is
 * '"µL" is not a UCUM code; write "uL"'.
 */
export function unitFault(code: string, measure: Measure): string | undefined {
  const { vectors, such } = DIMENSIONS[measure];
  const meant = Object.hasOwn(MEANT, code) ? MEANT[code] : undefined;
  if (Object.hasOwn(TRAPS, code)) {
    return `"${code}" means ${TRAPS[code]} in UCUM; write "${meant}"`;
  }
  const known = unitOf(code);
  if (!known.unit) {
    const right = meant ?? known.suggestion;
    return `"${code}" is not a UCUM code; write ${right ? `"${right}"` : `one such as ${such}`}`;
  }
  const vector = known.unit.dim_.dimVec_?.join() ?? DIMENSIONLESS;
  if (!vectors.includes(vector) || (measure === 'concentration' && NOT_A_CONCENTRATION.has(code))) {
    return `"${code}" is no unit of ${measure}; write one such as ${such}`;
  }
  return undefined;
}

/** The package takes names of object methods for units and complains about blanks on the console, so both are kept from it. */
function unitOf(code: string): { unit?: UcumUnit; suggestion?: string } {
  if (!/^[\x21-\x7e]+$/.test(code) || code in Object.prototype) {
    return {};
  }
  const utils = ucum.UcumLhcUtils.getInstance();
  const { status, ucumCode } = utils.validateUnitString(code, true);
  const unit = status === 'valid' ? utils.getSpecifiedUnit(code, 'validate').unit : null;
  return unit ? { unit } : ucumCode ? { suggestion: ucumCode } : {};
}
