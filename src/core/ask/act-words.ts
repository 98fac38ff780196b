/** What of an event's data tells it from others of its kind and is no patient's. */
const TELLING = ['step', 'reagent', 'control', 'point', 'reason'] as const;

/**
 * What an act was, in words, from its name in the record and, of a bench event, its data. Nothing that was said or written
 * about a patient comes along. `actWords('run.step-ended', { step: 'dye' })` is 'Run: step ended, dye'.
 */
export function actWords(act: string, data: Readonly<Record<string, unknown>> = {}): string {
  const [topic = '', ...rest] = act.split('.');
  const plain = (text: string): string => text.replaceAll('-', ' ');
  const told = TELLING.flatMap((key) => {
    const value = data[key];
    return typeof value === 'string' ? [key === 'reason' ? value : plain(value)] : [];
  });
  const named = plain(topic);
  return `${named.charAt(0).toUpperCase()}${named.slice(1)}: ${[plain(rest.join(' ')), ...told].join(', ')}`;
}
