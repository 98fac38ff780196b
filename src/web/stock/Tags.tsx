import type { LotStanding } from '../../core/lot/lot.js';
import type { ContainerCondition } from '../../core/lot/receive.js';
import { Tag } from '../parts/Page.js';
import { STOCK as words } from './words.js';

const STANDING_FRAMES = { quarantined: 'double', accepted: 'plain', rejected: 'full', recalled: 'full' } as const;
const CONDITION_FRAMES = { unopened: 'soft', opened: 'plain', emptied: 'soft', discarded: 'soft' } as const;

export function StandingTag({ standing }: { standing: LotStanding }) {
  return <Tag frame={STANDING_FRAMES[standing]}>{words.standings[standing]}</Tag>;
}

export function ConditionTag({ condition, count }: { condition: ContainerCondition; count?: number }) {
  const word = words.conditions[condition];
  return <Tag frame={CONDITION_FRAMES[condition]}>{count === undefined ? word : words.counted(count, word)}</Tag>;
}
