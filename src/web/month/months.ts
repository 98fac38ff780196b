const MONTH = /^\d{4}-(0[1-9]|1[0-2])$/;

/** Whether a text names a month. */
export function isMonth(text: string): boolean {
  return MONTH.test(text);
}

/** The month so many months later; `monthsLater('2026-12', 1)` is '2027-01'. */
export function monthsLater(month: string, count: number): string {
  const [year = 0, number = 1] = month.split('-').map(Number);
  const all = year * 12 + (number - 1) + count;
  return `${String(Math.floor(all / 12)).padStart(4, '0')}-${String((all % 12) + 1).padStart(2, '0')}`;
}

/** The month in which an instant falls by a zone. */
export function monthAt(at: string, zone: string): string {
  const parts = new Intl.DateTimeFormat('en', { timeZone: zone, year: 'numeric', month: '2-digit' }).formatToParts(
    Date.parse(at),
  );
  const part = (type: string): string => parts.find((each) => each.type === type)?.value ?? '';
  return `${part('year')}-${part('month')}`;
}
