/** An amount as a sentence says it, to three significant digits. `quantityText(1234.5, 'mL')` is '1230 mL'. */
export function quantityText(value: number, unit: string): string {
  const rounded = Number(value.toPrecision(3));
  // A UCUM annotation such as {piece} is read without its braces.
  return `${rounded} ${unit.replaceAll(/[{}]/g, '')}`;
}
