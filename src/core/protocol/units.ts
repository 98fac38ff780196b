import ucum, { type UcumUnit } from '@lhncbc/ucum-lhc';

/** What a unit measures. */
export type Measure = 'concentration' | 'temperature' | 'mass' | 'volume';

const DIMENSIONLESS = '0,0,0,0,0,0,0';

const DIMENSIONS: Record<Measure, { vectors: string[]; such: string }> = {
  // Mass, amount or arbitrary units per volume, catalytic activity per volume, amount per mass, and plain ratios.
  concentration: {
    vectors: ['-3,0,1,0,0,0,0', '-3,0,0,0,0,0,0', '-3,-1,0,0,0,0,0', '0,0,-1,0,0,0,0', DIMENSIONLESS],
    such: 'g/L, mg/mL, mmol/L, % or U/mL',
  },
  temperature: { vectors: ['0,0,0,0,1,0,0'], such: 'Cel or K' },
  mass: { vectors: ['0,0,1,0,0,0,0'], such: 'g, mg or ug' },
  volume: { vectors: ['3,0,0,0,0,0,0'], such: 'mL, uL or L' },
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
  if (Object.hasOwn(TRAPS, code)) {
    return `"${code}" means ${TRAPS[code]} in UCUM; write "${MEANT[code]}"`;
  }
  const unit = unitOf(code);
  if (!unit) return `"${code}" is not a UCUM code; write ${suggestionFor(code) ?? `one such as ${such}`}`;
  if (!vectors.includes(dimensionsOf(unit)) || (measure === 'concentration' && NOT_A_CONCENTRATION.has(code))) {
    return `"${code}" is no unit of ${measure}; write one such as ${such}`;
  }
  return undefined;
}

/**
 * Says what is wrong with a unit in which stock is counted, and what would be right: a volume, a mass, or pieces, which
 * UCUM writes in braces. `stockUnitFault('Cel')` is '"Cel" is no unit of stock; write one such as mL, g or {piece}'.
 */
export function stockUnitFault(code: string): string | undefined {
  const unit = unitOf(code);
  if (!unit) return unitFault(code, 'volume');
  const counts = /^\{[^{}]+\}$/.test(code);
  const measures = (['volume', 'mass'] as const).some((measure) =>
    DIMENSIONS[measure].vectors.includes(dimensionsOf(unit)),
  );
  return counts || measures ? undefined : `"${code}" is no unit of stock; write one such as mL, g or {piece}`;
}

/** What UCUM knows of a code; undefined when it is none. */
export function unitOf(code: string): UcumUnit | undefined {
  if (!readable(code)) return undefined;
  const utils = ucum.UcumLhcUtils.getInstance();
  if (utils.validateUnitString(code).status !== 'valid') return undefined;
  return utils.getSpecifiedUnit(code, 'validate').unit ?? undefined;
}

/** The code, quoted, that was probably meant by one that UCUM does not know. */
export function suggestionFor(code: string): string | undefined {
  const meant = Object.hasOwn(MEANT, code)
    ? MEANT[code]
    : readable(code) && ucum.UcumLhcUtils.getInstance().validateUnitString(code, true).ucumCode;
  return meant ? `"${meant}"` : undefined;
}

/** Exponents of length, time, mass, angle, temperature, charge and luminous intensity, joined by commas. */
export function dimensionsOf(unit: UcumUnit): string {
  return unit.dim_.dimVec_?.join() ?? DIMENSIONLESS;
}

/** The package takes names of object methods for units and complains about blanks on the console, so both are kept from it. */
function readable(code: string): boolean {
  return /^[\x21-\x7e]+$/.test(code) && !(code in Object.prototype);
}
