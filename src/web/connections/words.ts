import type { Topic } from '../../core/webhook/topics.js';

export const CONNECTIONS = {
  title: 'Connections',
  about:
    'Other programs that are told, over HTTPS and signed, when something happens here. A message holds ids and where to look, never a patient or a word of the record.',
  readOnly: 'An administrator keeps these.',
  endpoints: 'Endpoints',
  empty: 'No other program is told of anything',
  emptyHelp:
    'Add an endpoint for each program that should hear of releases, recalls or failed controls. docs/webhooks.md shows how it checks that a message is genuine.',
  off: 'switched off',
  tells: 'Is told of',
  secret: (day: string) => `secret of ${day}`,
  oldSecret: (until: string) => `the one before signs until ${until}`,
  topics: {
    'result released': { name: 'Results released', more: 'or amended' },
    'release withdrawn': { name: 'Releases withdrawn', more: 'taken back by signature' },
    'result held': { name: 'Results held', more: 'or let go on' },
    'lot recalled': { name: 'Lots recalled', more: 'with all that was made of them' },
    'lot decided': { name: 'Lots decided', more: 'accepted, rejected, set aside' },
    'control failed': { name: 'Controls failed', more: 'with the work that they cover' },
    'work in question': { name: 'Work in question', more: 'to be looked at again' },
    'release in question': { name: 'Releases in question', more: 'found worse when looked at again' },
    'protocol decided': { name: 'Protocols decided', more: 'approved or retired' },
    notice: { name: 'Notices', more: 'stock that runs out, what expires, a step over its time' },
  } satisfies Record<Topic, { name: string; more: string }>,
  trialTopic: 'Trial',

  edit: {
    add: 'Add an endpoint',
    addTitle: 'Add an endpoint',
    open: 'Change',
    title: (name: string) => `Change ${name}`,
    name: 'Name',
    nameHelp: 'Which program it is.',
    url: 'Address',
    urlHelp:
      'HTTPS; plain HTTP only to this very machine. It stands in the record for good, so no password or key belongs in it.',
    topics: 'What it is told of',
    action: 'Add it',
    changeAction: 'Change it',
    done: (name: string) => `${name} is changed`,
  },
  given: {
    title: (name: string) => `The secret of ${name}`,
    about:
      'This is the only time that it is shown. Put it into the other program now; whoever has it can send in our name.',
    copy: 'Copy',
    copied: 'Copied',
    kept: 'It is in the program: close',
  },
  rotate: {
    open: 'New secret',
    title: (name: string) => `A new secret for ${name}`,
    about:
      'Both secrets sign for a while, so that no message is lost meanwhile. If the old one became known, end it at once.',
    field: 'How long does the old one go on?',
    hours: { '0': 'It ends at once', '24': 'For a day', '168': 'For a week' },
    action: 'Make it',
  },
  trial: { open: 'Send a trial', done: 'A trial is on its way; what became of it stands below.' },
  able: {
    off: 'Switch off',
    on: 'Switch on',
    doneOff: (name: string) => `${name} is told of nothing until it is switched on again`,
    doneOn: (name: string) => `${name} is told again from now on`,
  },

  deliveries: {
    title: 'Messages',
    about:
      'The latest hundred. What is not taken is tried for a little over two hours, then given up until somebody sends it again.',
    empty: 'No message yet: one goes out with each act that a connection above asks for.',
    states: { waiting: 'is tried', delivered: 'taken', 'given up': 'given up' },
    attempts: (count: number) => (count === 1 ? 'tried once' : `tried ${count} times`),
    again: 'Send again',
    sentAgain: 'It is on its way again',
    body: 'What is sent',
  },
} as const;
