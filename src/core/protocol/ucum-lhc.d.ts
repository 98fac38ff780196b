/** The part of the package that is used here; it ships no types of its own. */
declare module '@lhncbc/ucum-lhc' {
  interface UnitValidation {
    status: 'valid' | 'invalid' | 'error';
    ucumCode: string | null;
    msg: string[];
  }
  export interface UcumUnit {
    /** Exponents of length, time, mass, angle, temperature, charge and luminous intensity. */
    dim_: { dimVec_: number[] | null };
    /** Power in which the mole enters; the package counts moles as a plain number. */
    moleExp_: number;
  }
  interface UnitConversion {
    status: 'succeeded' | 'failed' | 'error';
    toVal: number | null;
  }
  interface UcumUtils {
    validateUnitString(code: string, suggest?: boolean): UnitValidation;
    getSpecifiedUnit(code: string, operation: 'validate'): { unit: UcumUnit | null };
    convertUnitTo(from: string, value: number, to: string, options: { molecularWeight?: number }): UnitConversion;
  }
  const ucum: { UcumLhcUtils: { getInstance(): UcumUtils } };
  export default ucum;
}
