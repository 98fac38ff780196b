import type { LookbackCause } from '../lookback/lookback.js';

/** What other programs can be told of as it happens. */
export const TOPICS = [
  'result released',
  'release withdrawn',
  'result held',
  'lot recalled',
  'lot decided',
  'control failed',
  'work in question',
  'release in question',
  'protocol decided',
  'notice',
] as const;
export type Topic = (typeof TOPICS)[number];

/** What an act wrote, as far as topics ask: none of it names a patient. */
export interface Announced {
  /** Name of the act; null for what the program did by itself. */
  act: string | null;
  /** Causes of the lookbacks that it opened. */
  lookbacks: readonly LookbackCause[];
  /** The matter of the notice that it told people; null when it told none. */
  told: string | null;
}

/** How the matter of a notice begins that tells of a job given up. */
export const JOB_GIVEN_UP = 'job-failed:';

/** How the matter of a notice begins that tells of a release that a second look found worse. */
export const IN_QUESTION = 'in-question:';

const BY_ACT: Readonly<Record<string, Topic>> = {
  'run.released': 'result released',
  'run.release-amended': 'result released',
  'run.release-withdrawn': 'release withdrawn',
  'run.result-held': 'result held',
  'run.result-hold-lifted': 'result held',
  'lot.recalled': 'lot recalled',
  'lot.decided': 'lot decided',
  'protocol.approved': 'protocol decided',
  'protocol.retired': 'protocol decided',
};

/**
 * The topics that an act belongs to, none for most. A failed control opens a lookback, and so is both its own topic and
 * that of work in question. That a job was given up is none: the message that told it might be the next to be given up,
 * and so on. `topicsOf({ act: 'run.released', lookbacks: [], told: null })` is ['result released'].
 */
export function topicsOf({ act, lookbacks, told }: Announced): Topic[] {
  const own = act === null ? undefined : BY_ACT[act];
  return [
    ...(own === undefined ? [] : [own]),
    ...(lookbacks.includes('control failed') ? (['control failed'] as const) : []),
    ...(lookbacks.length > 0 ? (['work in question'] as const) : []),
    ...(told?.startsWith(IN_QUESTION) ? (['release in question'] as const) : []),
    ...(told !== null && !told.startsWith(JOB_GIVEN_UP) ? (['notice'] as const) : []),
  ];
}

/** Pages by what an act was about; the id goes where the star stands, if one does. */
const PAGES: Readonly<Record<string, string>> = {
  run: '/release/*',
  lot: '/stock/*',
  recall: '/stock/recalls/*',
  revision: '/protocols/*',
  notice: '/notices',
  'second-look': '/release/second-looks',
};

/** The page of what an act was about, to be put behind the program's address; null when it has none of its own. */
export function pageOf({ kind, id }: { kind: string; id: string }): string | null {
  return PAGES[kind]?.replace('*', encodeURIComponent(id)) ?? null;
}
