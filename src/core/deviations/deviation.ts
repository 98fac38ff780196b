import type { Signature } from '../record/signed.js';
import type { Instant } from '../time/instant.js';

/** What a deviation can be opened from; 'described' is one that nothing in the program points to. */
export const DEVIATION_SUBJECTS = [
  'finding',
  'control failure',
  'lookback',
  'excursion',
  'order',
  'instrument',
  'described',
] as const;
export type DeviationSubject = (typeof DEVIATION_SUBJECTS)[number];

/** How grave a deviation is, by what it does to results (ISO 15189:2022 7.5, from memory); the gravest last. */
export const RESULT_EFFECTS = [
  'no result affected',
  'result late or repeated',
  'result doubtful, not released',
  'released result doubtful',
] as const;
export type ResultEffect = (typeof RESULT_EFFECTS)[number];

/** Where a cause lies: the usual six branches of a cause-and-effect diagram (Ishikawa; common practice). */
export const CAUSE_KINDS = ['method', 'material', 'people', 'equipment', 'environment', 'measurement'] as const;
export type CauseKind = (typeof CAUSE_KINDS)[number];

/**
 * What is done about a deviation. A correction removes what went wrong this once (ISO 9000:2015 3.12.3), an action is a
 * corrective action, which removes its cause so that it does not come back (3.12.2); both from memory. All of it is documented
 * (42 CFR 493.1282(a)), and whether it worked is looked at (ISO 15189:2022 8.7, from memory).
 */
export const DEVIATION_ACTS = [
  'assigned',
  'effect',
  'correction',
  'cause',
  'action',
  'done',
  'dropped',
  'check planned',
  'checked',
  'closed',
  'reopened',
] as const;
export type DeviationActKind = (typeof DEVIATION_ACTS)[number];

/** How a deviation ends: its actions proven effective, or signed that none is needed. */
export const DEVIATION_ENDS = ['effective', 'no action needed'] as const;
export type DeviationEnd = (typeof DEVIATION_ENDS)[number];

export interface DeviationActData {
  /** What was found, decided, done or seen; of a planned check its criterion. */
  text?: string;
  /** Who is to look into it, to act, or to check. */
  ownerId?: string;
  /** First instant at which it is overdue. */
  due?: Instant;
  effect?: ResultEffect;
  causeKind?: CauseKind;
  /** The action that was done or dropped. */
  actionId?: string;
  /** First instant at which the check can tell anything. */
  notBefore?: Instant;
  effective?: boolean;
  ended?: DeviationEnd;
  signature?: Signature;
}

export interface DeviationAct {
  id: string;
  kind: DeviationActKind;
  at: Instant;
  personId: string | null;
  data: DeviationActData;
}

/** Where a deviation stands, in the usual order. */
export const DEVIATION_STATES = [
  'opened',
  'cause found',
  'action under way',
  'to be checked',
  'not effective',
  'effective',
  'closed',
] as const;
export type DeviationState = (typeof DEVIATION_STATES)[number];

/** A corrective action that was not dropped. */
export interface StandingAction {
  id: string;
  text: string;
  ownerId: string;
  due: Instant;
  /** Null while it is open. */
  done: { at: Instant; personId: string | null } | null;
}

/** A check of effectiveness that is planned and not made yet. */
export interface PlannedCheck {
  id: string;
  criterion: string;
  ownerId: string;
  notBefore: Instant;
  due: Instant;
}

export interface DeviationStanding {
  state: DeviationState;
  effect: ResultEffect;
  /** Who looks into it, and until when. */
  owner: { id: string; actId: string; due: Instant } | null;
  /** Those of the time since it was last reopened. */
  actions: StandingAction[];
  check: PlannedCheck | null;
  /** How it ended; null while it is open. */
  ended: DeviationEnd | null;
}

/**
 * Where a deviation stands after its acts, earliest first. Since it was last reopened counts: a cause that came back was
 * not the cause, so that cause, action and proof are asked anew. An action proven effective counts only while no action was
 * added or done after the check. A cause, an action and its 'done' make it 'to be checked'.
 */
export function deviationStanding(opened: { effect: ResultEffect }, acts: readonly DeviationAct[]): DeviationStanding {
  const effect = acts.findLast(({ kind }) => kind === 'effect')?.data.effect ?? opened.effect;
  const assigned = acts.findLast(({ kind }) => kind === 'assigned');
  const round = acts.slice(acts.findLastIndex(({ kind }) => kind === 'reopened') + 1);
  const closed = round.find(({ kind }) => kind === 'closed');
  const actions = standingActions(round);
  return {
    state: closed ? 'closed' : openState(round, actions),
    effect,
    owner: assigned
      ? { id: assigned.data.ownerId ?? '', actId: assigned.id, due: assigned.data.due ?? assigned.at }
      : null,
    actions,
    check: plannedCheck(round),
    ended: closed?.data.ended ?? null,
  };
}

function standingActions(round: readonly DeviationAct[]): StandingAction[] {
  const on = (kind: DeviationActKind, id: string) =>
    round.find((act) => act.kind === kind && act.data.actionId === id) ?? null;
  return round.flatMap(({ id, kind, at, data }) => {
    if (kind !== 'action' || on('dropped', id)) return [];
    const done = on('done', id);
    return [
      {
        id,
        text: data.text ?? '',
        ownerId: data.ownerId ?? '',
        due: data.due ?? at,
        done: done && { at: done.at, personId: done.personId },
      },
    ];
  });
}

function openState(round: readonly DeviationAct[], actions: readonly StandingAction[]): DeviationState {
  if (actions.some(({ done }) => done === null)) return 'action under way';
  if (actions.length === 0) return round.some(({ kind }) => kind === 'cause') ? 'cause found' : 'opened';
  const ids = new Set(actions.map(({ id }) => id));
  const acted = round.findLastIndex(({ id, kind, data }) => ids.has(kind === 'done' ? (data.actionId ?? '') : id));
  const checked = round.findLast(({ kind }, place) => kind === 'checked' && place > acted);
  if (!checked) return 'to be checked';
  return checked.data.effective === true ? 'effective' : 'not effective';
}

function plannedCheck(round: readonly DeviationAct[]): PlannedCheck | null {
  const last = round.findLast(({ kind }) => kind === 'check planned' || kind === 'checked');
  if (last?.kind !== 'check planned') return null;
  const { id, at, data } = last;
  return {
    id,
    criterion: data.text ?? '',
    ownerId: data.ownerId ?? '',
    notBefore: data.notBefore ?? at,
    due: data.due ?? at,
  };
}

/** What somebody has to do about a deviation until an instant. */
export interface DueItem {
  kind: 'inquiry' | 'action' | 'check';
  /** The act that asked for it. */
  actId: string;
  ownerId: string;
  what: string;
  due: Instant;
  /** First instant at which it can be done; only of a check. */
  notBefore: Instant | null;
}

/**
 * What is to be done about a deviation, by whom and until when: the inquiry while it needs a cause or an action, each open
 * action, the check. Nothing of a closed one.
 */
export function dueItems({ state, owner, actions, check }: DeviationStanding): DueItem[] {
  if (state === 'closed') return [];
  const inquiry = ['opened', 'cause found', 'not effective'].includes(state) && owner;
  return [
    ...(inquiry
      ? [
          {
            kind: 'inquiry' as const,
            actId: inquiry.actId,
            ownerId: inquiry.id,
            what: 'find the cause and say what is to be done',
            due: inquiry.due,
            notBefore: null,
          },
        ]
      : []),
    ...actions
      .filter(({ done }) => done === null)
      .map(({ id, ownerId, text, due }) => ({
        kind: 'action' as const,
        actId: id,
        ownerId,
        what: text,
        due,
        notBefore: null,
      })),
    ...(check
      ? [
          {
            kind: 'check' as const,
            actId: check.id,
            ownerId: check.ownerId,
            what: check.criterion,
            due: check.due,
            notBefore: check.notBefore,
          },
        ]
      : []),
  ];
}

/** Whether something is overdue now; computed when asked and never stored. A due day ends with the day. */
export function isOverdue({ due }: Pick<DueItem, 'due'>, now: Instant): boolean {
  return due <= now;
}
