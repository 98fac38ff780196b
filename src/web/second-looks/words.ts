import type { SecondLookCause } from '../../core/second-look/acts.js';
import type { LookList } from './queries.js';

export const SECOND_LOOKS = {
  title: 'Second looks',
  about:
    'Something that the gate had used was changed after a result went out. The gate is asked again; a result of which it now says worse is in question until a releaser signs what becomes of it.',
  caution: 'The gate informs. Whether a patient is harmed is for people to judge, and to tell those who may act on it.',
  lists: {
    'in question': {
      title: 'In question',
      about: 'The gate says worse of these now than when they were signed. Each waits for a signature.',
      empty: 'No released result is in question',
    },
    'looked at again': {
      title: 'Being looked at again',
      about: 'The gate has not answered yet. Do not rely on these until it has.',
      empty: '',
    },
    closed: {
      title: 'Answered before',
      about: 'Were in question, with what became of them.',
      empty: 'No released result ever was in question.',
    },
  } satisfies Record<LookList, { title: string; about: string; empty: string }>,
  emptyHelp:
    'A second look opens by itself, in the same act that corrects a run, sets a lot aside, finds a fridge warm or an instrument wrong. What the gate answers stands here.',
  then: 'Said when it was signed',
  now: 'Says now',
  clear: 'Clear: nothing spoke against it.',
  held: 'Held, and released by exception over:',
  settled: (count: number) => (count === 1 ? 'One note or settled finding.' : `${count} notes or settled findings.`),
  judged: (seq: number, rules: string) => `judged up to record number ${seq}, rules version ${rules}`,
  holds: 'Nothing worse.',
  waits: 'Not answered yet.',
  why: 'Because',
  toCause: 'See the cause',
  history: (count: number) => (count === 1 ? 'The second look at it' : `All ${count} second looks at it`),
  told: (names: string) => `Told by name: ${names}; and everybody, among the notices.`,
  signedBy: (kind: string, name: string, at: string) => `${kind}, signed by ${name} ${at}`,
  todo: 'Read what is new, and decide: it stands all the same, it is mended and amended, or it is withdrawn.',
  causes: {
    'run corrected': 'A run was corrected, or told of late',
    'control reading corrected': 'A control’s reading was corrected',
    'bath load corrected': 'What went through a bath was corrected',
    'lot set aside': 'A lot was quarantined or rejected',
    'container on hold': 'A container was put on hold or found unfit',
    'container state corrected': 'When a container was opened, emptied or discarded was told of late',
    'storage excursion': 'A storage place had been outside its limits',
    'competence decided': 'A person’s competence was ended',
    'instrument checked': 'An instrument was checked, moved or taken out of use',
    'protocol retired': 'A protocol in force was retired',
    'tissue times told': 'When a specimen was fixed was told of late',
    'catalogue changed': 'A reagent’s entry was changed',
  } satisfies Record<SecondLookCause, string>,
  uphold: {
    open: 'It stands after all',
    title: (label: string) => `${label}: it stands after all?`,
    about:
      'The gate is asked once more as you sign. Your reason and signature stand beside the result from then on, wherever it is shown.',
    reason: 'Why it stands all the same',
    reasonHelp: 'How you know, such as: the slides were looked at again by two, the nuclei are crisp.',
    second: 'Over a stop a second person signs here',
    login: 'Name for signing in',
    password: 'That person’s password',
    action: 'Sign that it stands',
    done: 'It stands, under your signature',
  },
  amend: 'Amend it on its page',
  withdraw: 'Withdraw it',
  notYours: 'A releaser or the director signs what becomes of it.',
  upheld: (name: string, at: string, reason: string) => `Upheld by ${name} ${at}: ${reason}`,
  secondBy: (name: string) => `Second signature: ${name}.`,
  amended: 'Replaced by an amended release, which stands beside it.',
  withdrawn: (at: string, reason: string) => `Withdrawn ${at}: ${reason}`,
  acts: {
    title: 'What opened them',
    about: 'Each act with how many releases had used what it changed, and how far the gate has answered.',
    empty: 'No act has touched a released result yet.',
    progress: (answered: number, asked: number) => `${answered} of ${asked} answered`,
    result: (worsened: number, asked: number) =>
      worsened === 0
        ? asked === 1
          ? 'it holds as it did'
          : `all ${asked} hold as they did`
        : `${worsened} of ${asked} worsened`,
    by: (name: string) => `by ${name}`,
    again: 'Ask the gate again',
    asked: 'Asked again',
  },
  rules: {
    title: 'Which acts open a second look, and which do not',
    asking: 'These do',
    silent: 'These do not, and why',
    act: 'Act in the record',
    cause: 'Asks because',
    reason: 'Why not',
    recall:
      'A recall and a failed control open a lookback instead, which asks of every specimen and is answered by people.',
  },
  more: 'Show more',
} as const;
