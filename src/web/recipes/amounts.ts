import { figures } from '../parts/numbers.js';

/** UCUM codes that people write otherwise. */
const WRITTEN: Record<string, string> = { '[pH]': '', Cel: '°C', uL: 'µL', 'ug/mL': 'µg/mL', '{fold}': 'fold' };

export function unitText(unit: string): string {
  return WRITTEN[unit] ?? unit.replace(/[{}]/g, '');
}

/** An amount as a balance or a cylinder shows it, to four digits: '18.11 mg'. */
export function amountText({ value, unit }: { value: number; unit: string }): string {
  return `${figures(value)} ${unitText(unit)}`.trim();
}
