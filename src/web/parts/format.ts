/** 'into-fixative' is 'Into fixative'. */
export function asWords(id: string): string {
  const words = id.replaceAll('-', ' ');
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** 'Nuclear signal, level 2' as a code: 'nuclear-signal-level-2'. */
export function codeOf(title: string): string {
  return title
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, '-')
    .replaceAll(/^-|-$/g, '');
}

/**
 * A timer's text. Counting down, a begun second counts whole, so that 0:00 comes when the time is really up; counting up,
 * only full seconds count. `timerText(61_200)` is '1:01', `timerText(61_200, 'down')` is '1:02'.
 */
export function timerText(ms: number, way: 'up' | 'down' = 'up'): string {
  const seconds = Math.max(way === 'down' ? Math.ceil(ms / 1000) : Math.floor(ms / 1000), 0);
  const [s, m, h] = [seconds % 60, Math.floor(seconds / 60) % 60, Math.floor(seconds / 3600)];
  const two = (n: number): string => String(n).padStart(2, '0');
  return h > 0 ? `${h}:${two(m)}:${two(s)}` : `${m}:${two(s)}`;
}

/** A duration to whole seconds, in words: '1 min 20 s'. */
export function spanText(ms: number): string {
  const seconds = Math.round(ms / 1000);
  const parts = [
    [Math.floor(seconds / 86_400), 'd'],
    [Math.floor(seconds / 3600) % 24, 'h'],
    [Math.floor(seconds / 60) % 60, 'min'],
    [seconds % 60, 's'],
  ] as const;
  const shown = parts.filter(([count]) => count > 0).map(([count, unit]) => `${count} ${unit}`);
  return shown.join(' ') || '0 s';
}

/** How instants are shown: in the laboratory's zone and the reader's language. */
export interface TimeFormat {
  clock(at: string): string;
  dayAndClock(at: string): string;
  day(at: string): string;
  /** The last day before an instant: of the end of a term, the last day on which it still counts. */
  lastDay(until: string): string;
  /** Day and clock to the second, for what is signed or measured. */
  toTheSecond(at: string): string;
  /** The same text with every instant in it shown in the laboratory's zone. */
  within(text: string): string;
}

/**
 * The local day of an instant, such as '2026-11-25': the Swedish way of writing dates is that of ISO 8601. The server's
 * `localDay` would bring a library of calendars into every page.
 */
export function dayIn(timeZone: string, at: string): string {
  return new Intl.DateTimeFormat('sv-SE', { timeZone }).format(Date.parse(at));
}

const INSTANT = /\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z/g;

export function timeFormat(zone: string, locale?: string): TimeFormat {
  const clock = new Intl.DateTimeFormat(locale, { timeZone: zone, timeStyle: 'medium', hourCycle: 'h23' });
  const both = new Intl.DateTimeFormat(locale, {
    timeZone: zone,
    day: 'numeric',
    month: 'short',
    year: 'numeric',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  });
  const exact = new Intl.DateTimeFormat(locale, {
    timeZone: zone,
    dateStyle: 'medium',
    timeStyle: 'medium',
    hourCycle: 'h23',
  });
  const day = new Intl.DateTimeFormat(locale, { timeZone: zone, dateStyle: 'medium' });
  const dayAndClock = (at: string): string => both.format(Date.parse(at));
  return {
    clock: (at) => clock.format(Date.parse(at)),
    dayAndClock,
    day: (at) => day.format(Date.parse(at)),
    lastDay: (until) => day.format(Date.parse(until) - 1),
    toTheSecond: (at) => exact.format(Date.parse(at)),
    within: (text) => text.replaceAll(INSTANT, dayAndClock),
  };
}

/** An instant as a date field of this device shows it, to the second: '2026-11-25T10:08:17'. */
export function asLocal(at: string): string {
  const date = new Date(at);
  return new Date(date.getTime() - date.getTimezoneOffset() * 60_000).toISOString().slice(0, 19);
}

/** What tells one of our own labels from another: 'SW1:C:TARN-2013' is 'TARN-2013'. */
export function shortLabel(label: string): string {
  return label.replace(/^SW1:[A-Z]:/, '');
}

const NAMED = 3;

/** The first few labels of many, and how many more there are. */
export function someLabels(labels: readonly string[]): string {
  const named = labels.slice(0, NAMED).map(shortLabel).join(', ');
  return labels.length > NAMED ? `${named} + ${labels.length - NAMED}` : named;
}

/** UCUM codes that people write otherwise. */
const WRITTEN: Record<string, string> = { '1': '', '[pH]': '', '[degF]': '°F', Cel: '°C' };

/** A UCUM unit as people read it: '{ratio}' is 'ratio', 'uL' is 'µL'. */
export function unitText(unit: string): string {
  return WRITTEN[unit] ?? unit.replaceAll(/[{}]/g, '').replace(/^u(?=[Lgm])/, 'µ');
}
