import { kept } from './kept.js';

/** Whose way of writing dates and numbers a device can be given, whatever its browser's own is. */
export const LOCALES = ['en-GB', 'en-US', 'de-DE', 'fr-FR', 'es-ES', 'pt-BR', 'ja-JP'] as const;
export type Locale = (typeof LOCALES)[number];

/** The one that was chosen on this device; undefined while the browser's own is followed, as Intl takes it. */
export const LOCALE: Locale | undefined = LOCALES.find((each) => each === kept.read('locale'));

/** Keeps a choice, and shows the page anew by it: what is written already would else stand in two ways. */
export function setLocale(to: Locale | undefined): void {
  kept.write('locale', to ?? '');
  location.reload();
}

const EXAMPLE = new Date(2026, 1, 9, 14, 5);

/** 'British English: 9 Feb 2026, 14:05, 1,234.5' */
export function localeInWords(locale: Locale): string {
  const name = new Intl.DisplayNames('en', { type: 'language' }).of(locale);
  const day = new Intl.DateTimeFormat(locale, { dateStyle: 'medium', timeStyle: 'short', hourCycle: 'h23' });
  return `${name}: ${day.format(EXAMPLE)}, ${new Intl.NumberFormat(locale).format(1234.5)}`;
}
