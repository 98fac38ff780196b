import { Refusal } from '../refusal.js';
import type { Instant } from '../time/instant.js';
import {
  type DeviationAct,
  type DeviationActData,
  type DeviationActKind,
  type DeviationEnd,
  deviationStanding,
  type DeviationStanding,
  type DeviationState,
  type StandingAction,
} from './deviation.js';

/** Who acts, and when. */
export interface ActingNow {
  personId: string | null;
  at: Instant;
}

type Fault = [field: keyof DeviationActData | 'password', message: string];

const said =
  (message: string) =>
  ({ text }: DeviationActData): Fault | null =>
    text ? null : ['text', message];

const NEEDS: Record<DeviationActKind, (data: DeviationActData, now: ActingNow) => Fault | null> = {
  assigned: (data, now) => needOwner(data) ?? needDue(data, now.at),
  effect: (data) =>
    data.effect ? said('say why it is thought so now')(data) : ['effect', 'say what it did to results'],
  correction: said('say what was done at once about what had gone wrong'),
  cause: (data) =>
    data.causeKind
      ? said('say what the cause was, or that none was found and where was looked')(data)
      : ['causeKind', 'say where the cause lies'],
  action: (data, now) =>
    said('say what is to be done so that it does not come back')(data) ?? needOwner(data) ?? needDue(data, now.at),
  done: (data) => needAction(data) ?? said('say what was done')(data),
  dropped: (data) => needAction(data) ?? said('say why it is not to be done')(data),
  'check planned': (data) =>
    said('give the criterion: what will show that it does not come back')(data) ??
    needOwner(data) ??
    (data.notBefore === undefined
      ? ['notBefore', 'give the first day on which the check can tell anything']
      : needDue(data, data.notBefore)),
  checked: (data) =>
    data.effective === undefined
      ? ['effective', 'say whether the criterion is met']
      : said('say what was looked at and what was seen')(data),
  closed: (data) =>
    said('say why it can be closed')(data) ??
    (data.signature ? null : ['password', 'the end of a deviation is signed']),
  reopened: said('say what shows that it is not over'),
};

function needOwner({ ownerId }: DeviationActData): Fault | null {
  return ownerId ? null : ['ownerId', 'name who is to do it'];
}

function needAction({ actionId }: DeviationActData): Fault | null {
  return actionId ? null : ['actionId', 'name the action'];
}

function needDue({ due }: DeviationActData, after: Instant): Fault | null {
  if (due === undefined) return ['due', 'give the last day for it'];
  return due > after ? null : ['due', 'the last day for it lies before it can begin; give a later one'];
}

/**
 * Refuses an act on a deviation that is not whole or that where it stands does not allow (42 CFR 493.1282(a): corrective
 * actions are followed and documented): an action before the cause, what was done twice, a check before its first day, while
 * an action is open, or by somebody whose own action is checked, and an end without its proof.
 */
export function checkDeviationAct(
  kind: DeviationActKind,
  data: DeviationActData,
  acts: readonly DeviationAct[],
  now: ActingNow,
): void {
  // What it did to results has no part in what may follow.
  const standing = deviationStanding({ effect: 'no result affected' }, acts);
  if ((standing.state === 'closed') !== (kind === 'reopened')) {
    throw standing.state === 'closed'
      ? refused('deviation-closed', 'This deviation is closed; reopen it with a reason first.')
      : refused('deviation-open', 'This deviation is not closed, so that it cannot be reopened.');
  }
  const fault = NEEDS[kind](data, now);
  if (fault) {
    const [at, message] = fault;
    throw new Refusal('invalid', 'deviation-act-incomplete', `${capital(message)}.`, [{ at, message }]);
  }
  const rule = RULES[kind];
  if (rule) rule(standing, data, now);
}

const RULES: {
  [kind in DeviationActKind]?: (standing: DeviationStanding, data: DeviationActData, now: ActingNow) => void;
} = {
  action: ({ state }) => {
    if (state === 'opened') {
      throw refused('cause-first', 'Enter the cause first: a corrective action is one that removes it.');
    }
  },
  done: needOpenAction,
  dropped: needOpenAction,
  'check planned': ({ actions }, { ownerId }) => {
    if (actions.length === 0) throw refused('action-first', 'There is no action whose effect could be checked.');
    needOther(actions, ownerId ?? null, 'who is named for the check');
  },
  checked: ({ actions, check }, _data, { personId, at }) => {
    if (!check) throw refused('check-unplanned', 'Plan the check first: its criterion and its first day.');
    const open = actions.filter(({ done }) => done === null);
    if (open.length > 0) throw refused('action-open', openWords(open.length));
    if (at < check.notBefore) {
      throw refused('check-early', `The check can tell nothing before ${check.notBefore}; make it from then on.`);
    }
    needOther(actions, personId, 'who checks');
  },
  closed: (standing, { ended }) => {
    const fault = endFault(standing, ended ?? 'effective');
    if (fault) throw refused('not-to-be-closed', fault);
  },
};

/** Why a deviation cannot end so, in words; null when it can. */
export function endFault(
  { state, actions }: { state: DeviationState; actions: readonly { done: object | null }[] },
  ended: DeviationEnd,
): string | null {
  if (ended === 'no action needed') {
    return actions.length === 0
      ? null
      : 'Actions stand on it: drop them with a reason, or prove them effective and close it so.';
  }
  const open = actions.filter(({ done }) => done === null).length;
  if (open > 0) return openWords(open);
  if (state === 'effective') return null;
  if (actions.length === 0) return 'No action was taken on it: take one, or close it as one that needs none.';
  return 'Its actions are not proven effective yet: plan the check and make it.';
}

function openWords(open: number): string {
  return `${open === 1 ? 'One action is' : `${open} actions are`} still open: record what was done, or drop it with a reason.`;
}

function needOpenAction({ actions }: DeviationStanding, { actionId }: DeviationActData): void {
  const action = actions.find(({ id }) => id === actionId);
  if (!action) {
    const message = 'This deviation has no such action that stands since it was last opened.';
    throw new Refusal('invalid', 'unknown-action', message, [{ at: 'actionId', message }]);
  }
  if (action.done) throw refused('action-done', 'This action is done already.');
}

/** Nobody checks the effectiveness of an action that was their own to do or that they did. */
function needOther(actions: readonly StandingAction[], personId: string | null, who: string): void {
  if (actions.some(({ ownerId, done }) => personId === ownerId || (done !== null && done.personId === personId))) {
    throw refused(
      'own-check',
      `Nobody checks the effectiveness of their own action: ${who} had one of these to do; let somebody else check.`,
    );
  }
}

function refused(code: string, message: string): Refusal {
  return new Refusal('conflict', code, message);
}

function capital(message: string): string {
  return message.charAt(0).toUpperCase() + message.slice(1);
}
