import { Refusal } from '../refusal.js';
import type { Signature } from '../record/signed.js';
import type { Instant } from '../time/instant.js';

/** What happens to a round, in the usual order: stained and sent in, scored by the body, cause found, acted on, closed. */
export const ROUND_ACTS = ['sent', 'scored', 'cause', 'action', 'closed'] as const;
export type RoundActKind = (typeof ROUND_ACTS)[number];

export interface RoundActData {
  /** The run in which the samples were stained, as patients' are (42 CFR 493.801(b)(1)). */
  runId?: string;
  /** Points got and points that could be got. */
  score?: number;
  outOf?: number;
  /** Whether the body calls it satisfactory. */
  satisfactory?: boolean;
  text?: string;
  fileId?: string;
  signature?: Signature;
}

export interface RoundAct {
  kind: RoundActKind;
  at: Instant;
  data: RoundActData;
}

export const ROUND_STANDINGS = [
  'to be stained',
  'waiting for its score',
  'to be looked into',
  'to be closed',
  'closed',
] as const;
export type RoundStanding = (typeof ROUND_STANDINGS)[number];

/**
 * Where a round stands after its acts, earliest first. An unsatisfactory score needs a cause and an action before it can
 * be closed (42 CFR 493.1236(a), 493.803; ISO 15189:2022 7.3.7.3). Scored unsatisfactory without more is
 * 'to be looked into'.
 */
export function roundStanding(acts: readonly RoundAct[]): RoundStanding {
  const did = (kind: RoundActKind) => acts.some((act) => act.kind === kind);
  if (did('closed')) return 'closed';
  if (!did('sent')) return 'to be stained';
  const score = acts.findLast(({ kind }) => kind === 'scored');
  if (!score) return 'waiting for its score';
  if (score.data.satisfactory === false && !(did('cause') && did('action'))) return 'to be looked into';
  return 'to be closed';
}

const NEEDS: Record<RoundActKind, (data: RoundActData) => [field: string, message: string] | null> = {
  sent: ({ text }) => (text ? null : ['text', 'say what was sent']),
  scored: ({ score, outOf, satisfactory }) => {
    if (score === undefined || outOf === undefined) return ['score', 'give the score and what it is out of'];
    if (!(outOf > 0) || score < 0 || score > outOf) return ['score', `a score lies between 0 and ${outOf}`];
    return satisfactory === undefined ? ['satisfactory', 'say whether the body calls it satisfactory'] : null;
  },
  cause: ({ text }) => (text ? null : ['text', 'say what the cause was, or that none was found and where was looked']),
  action: ({ text }) => (text ? null : ['text', 'say what was done']),
  closed: ({ signature }) => (signature ? null : ['password', 'the end of a round is signed']),
};

/** Refuses an act on a round that is not whole or that its standing does not allow. */
export function checkRoundAct(kind: RoundActKind, data: RoundActData, acts: readonly RoundAct[]): void {
  const standing = roundStanding(acts);
  if (standing === 'closed')
    throw new Refusal('conflict', 'round-closed', 'This round is closed; nothing can be added.');
  if (kind === 'scored' && standing === 'to be stained') {
    throw new Refusal('conflict', 'round-not-sent', 'Enter first what was stained and sent.');
  }
  if (kind === 'closed' && standing !== 'to be closed') {
    throw new Refusal(
      'conflict',
      'round-open',
      `This round is ${standing}; enter score, and cause and action where it was unsatisfactory.`,
    );
  }
  const need = NEEDS[kind](data);
  if (need) throw new Refusal('invalid', 'round-act-incomplete', `${need[1]}.`, [{ at: need[0], message: need[1] }]);
}
