import { unitText } from '../parts/format.js';
import { figures } from '../parts/numbers.js';

/** An amount as a balance or a cylinder shows it, to four digits: '18.11 mg'. */
export function amountText({ value, unit }: { value: number; unit: string }): string {
  return `${figures(value)} ${unitText(unit)}`.trim();
}
