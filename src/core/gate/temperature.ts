/** Degrees Celsius of a temperature given by its UCUM unit: Cel, K or [degF] (UCUM table of special units). */
export function toCelsius(value: number, unit: string): number {
  if (unit === 'Cel') return value;
  if (unit === 'K') return value - 273.15;
  if (unit === '[degF]') return ((value - 32) * 5) / 9;
  throw new RangeError(`"${unit}" is no unit of temperature; use Cel, K or [degF]`);
}
