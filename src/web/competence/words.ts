import type { CompetenceDecision, CompetenceStanding } from '../../core/competence/competence.js';

export const COMPETENCE = {
  title: 'Competence',
  about:
    'Who may do which protocol now. The gate asks it of everybody who worked on a run, at the instant of the work; a trainee needs a named supervisor in the run.',
  empty: 'Nothing to be competent in yet',
  emptyHelp: 'Approve a protocol and add people who work at a bench; then each can be assessed here.',
  person: 'Person',
  standings: {
    competent: 'competent',
    'in training': 'in training',
    lapsed: 'lapsed',
    'to be assessed anew': 'assess anew',
    'not competent': 'not assessed',
  } satisfies Record<CompetenceStanding, string>,
  until: (day: string) => `to the end of ${day}`,
  decide: 'Decide',
  decideOn: (person: string, protocol: string) => `Decide on ${person} in ${protocol}`,
  cover: 'Who can cover',
  coverHelp: 'Choose a day to see who is still competent then.',
  day: 'Day',
  nobody: 'nobody',
  names: (names: readonly string[]) => names.join(', '),
  history: 'Earlier decisions',
  history1: (what: string, at: string, by: string) => `${what}, ${at}, signed by ${by}`,
  sheet: {
    title: (person: string, protocol: string) => `${person}: ${protocol}`,
    decision: 'Decision',
    decisions: {
      'in training': { name: 'In training', more: 'works under a supervisor named in each run' },
      competent: { name: 'Competent', more: 'assessed in all six elements' },
      'not competent': { name: 'Not competent', more: 'assessed, and not yet there' },
      withdrawn: { name: 'Withdrawn', more: 'may not do it any more' },
    } satisfies Record<CompetenceDecision, { name: string; more: string }>,
    elements: 'What was seen',
    elementsHelp:
      'The six elements of 42 CFR 493.1413(b)(8). Where one does not apply to this protocol, say so and why. Local procedure may ask for more.',
    reason: 'In a sentence',
    reasonHelp: 'How it was assessed, such as: watched at three runs, two blind slides read.',
    lastDay: 'Last day on which it counts',
    lastDayHelp: 'Empty takes the longest that the rule allows: six months in the first year, then a year.',
    action: 'Sign the decision',
    done: (person: string) => `The decision on ${person} is signed`,
  },
} as const;
