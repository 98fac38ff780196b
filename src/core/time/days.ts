const DAY_MS = 86_400_000;

/** The local day that lies `days` after another. `plusDays('2026-12-31', 1)` is '2027-01-01'. */
export function plusDays(day: string, days: number): string {
  return new Date(Date.parse(`${day}T00:00:00.000Z`) + days * DAY_MS).toISOString().slice(0, 10);
}

/** Whole days from one local day to another. `daysBetween('2026-11-30', '2026-12-02')` is 2. */
export function daysBetween(from: string, to: string): number {
  return Math.round((Date.parse(`${to}T00:00:00.000Z`) - Date.parse(`${from}T00:00:00.000Z`)) / DAY_MS);
}
