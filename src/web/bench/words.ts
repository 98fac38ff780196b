import { counted } from '../../core/counted.js';
import type { NextAction, Phase } from '../../core/run/next.js';
import type { Moment } from '../../core/run/next.js';
import type { RunEventKind, RunPurpose } from '../../core/run/events.js';
import type { FigureStatus, Step } from '../../core/protocol/protocol.js';
import { asWords, spanText } from '../parts/format.js';

/** A step's action when it is short enough to be read across the room, else its id in words. */
export function stepName({ action, id }: Pick<Step, 'action' | 'id'>): string {
  return action.length <= 28 ? action : asWords(id);
}

export const BENCH = {
  title: 'Bench',
  next: 'Next',
  then: 'Then',
  allStations: 'All stations',
  station: 'Station',
  newRun: 'New run',
  runs: 'Runs on the bench',
  allRuns: 'All runs',
  room: 'Screen for the room',
  empty: 'No run is on the bench',
  emptyHelp:
    'Start one: choose a protocol in force, scan what is to be stained, and the bench leads through its steps.',
  emptyStation: (station: string) => `No run is on ${station}`,
  soundWaits: 'Touch the page once, and warnings will sound.',
  keyHelp: 'Space, Enter or any key of a foot pedal does this while it has the focus.',
  notToStart: 'This run is open; its next act is no start, so press it.',
  scanHelp:
    'Scan a bottle, a specimen or a slide at any time. The specimen of the run that is open, scanned once more, starts its next step.',
  purposes: {
    patients: 'for patients',
    acceptance: 'to accept a lot: nothing can be released',
    training: 'for training: nothing can be released',
  } satisfies Record<RunPurpose, string>,

  act: {
    start: (name: string) => `Start: ${name}`,
    end: (name: string) => `End: ${name}`,
    'read-control': (name: string) => `Read control: ${name}`,
    clear: () => 'Clear the station',
  } satisfies Record<NextAction['kind'], (name: string) => string>,
  press: { start: 'Start', end: 'End', 'read-control': 'Read it', clear: 'Clear' } satisfies Record<
    NextAction['kind'],
    string
  >,

  phase: { early: 'Wait', open: 'May be done', closing: 'Closing', over: 'Late' } satisfies Record<Phase, string>,
  countdown: {
    early: 'may end in',
    aim: 'aim in',
    endWithin: 'must end within',
    startWithin: 'must start within',
    over: 'by',
    running: 'running for',
    ready: 'when you are ready',
  },
  mayFrom: (time: string) => `may end from ${time}`,
  aimAt: (time: string) => `aim ${time}`,
  mustEndBy: (time: string) => `must end by ${time}`,
  mustStartBy: (time: string) => `must start by ${time}`,
  byEye: 'by eye',
  byClock: 'by the clock',
  critical: 'critical',

  moments: {
    from: (name: string) => `${name}: may be ended from now`,
    target: (name: string) => `${name}: time is up`,
    closing: (name: string, left: string) => `${name}: closing, ${left} left`,
    over: (name: string) => `${name}: past its end`,
  } satisfies Record<Moment, (name: string, left: string) => string>,

  plan: {
    at: (clock: string) => `planned for ${clock}`,
    behind: 'The bench is behind its plan.',
    again: 'Plan again',
  },

  ahead: {
    title: 'What lies ahead',
    key: 'Full bar: start. Open bar: end by the clock. Diamond: judged by eye. Line with ends: when the next moments may be. Hatched: two want hands or an eye at once. Steps at their planned times, else at their targets.',
    moment: (step: string, kind: 'start' | 'end', station: string): string =>
      `${kind === 'start' ? 'start' : 'end'} of ${step}${station === '' ? '' : ` (${station})`}`,
    inWords: 'The axis in words',
    line: (at: string, moment: string, eye: boolean, [from, to]: readonly (string | null | undefined)[]): string => {
      const until = from ? `allowed ${from} to ${to}` : `allowed until ${to}`;
      const window = to ? until : from && `not before ${from}`;
      return [`${at} ${moment}`, eye && 'judged by eye', window].filter(Boolean).join(', ');
    },
    thisRack: 'this rack',
    eyes: 'If it is loaded now, it wants an eye for',
    eye: (step: string, time: string): string => `${step} about ${time}`,
    clash: (time: string, first: string, second: string, eyes: boolean): string =>
      `About ${time} two moments want ${eyes ? 'an eye' : 'hands'} at once: ${first}, and ${second}.`,
  },

  dip: (n: number, of: number) => `dip ${n} of ${of}`,
  hold: 'Hold',
  bottle: (label: string) => `bottle ${label}`,
  noBottle: 'no bottle scanned yet',
  unusableOnTray: 'may not be used: see the tray',

  steps: {
    title: 'Steps',
    full: 'Show every step in full',
    window: ({ time }: Step): string => {
      const { min, target, max, unit } = time;
      const range = [
        min !== undefined && max !== undefined ? `${min} to ${max} ${unit}` : null,
        min !== undefined && max === undefined ? `at least ${min} ${unit}` : null,
        min === undefined && max !== undefined ? `at most ${max} ${unit}` : null,
      ].find((text) => text !== null);
      return range ? `${range}, aim ${target} ${unit}` : `about ${target} ${unit}`;
    },
    gap: (ms: number) => `start within ${spanText(ms)} of the step before`,
    took: (time: string, from: string, to: string) => `took ${time}, ${from} to ${to}`,
    judgedBy: (name: string) => `ended by the eye of ${name}`,
    running: (since: string) => `since ${since}`,
    dips: (count: number) => `${count} dips`,
    optional: 'may be left out',
    again: 'Do again',
    outOfOrder: 'Start out of order',
    more: 'Other things to do with this step',
    temperature: 'Enter a temperature',
    picture: 'Keep a picture of this step',
    proposal: 'figure is only a proposal',
    caution: 'Cautions for this protocol',
  },

  tray: {
    title: 'Tray',
    help: 'Scan each bottle when the tray is set up, and each one that takes its place.',
    scan: 'Scan or type a label',
    take: 'Take',
    missing: 'not scanned yet',
    until: (time: string) => `may be used until ${time}`,
    noLimit: 'no limit known',
    fromTap: 'from the tap, not scanned',
    lot: (number: string) => `lot ${number}`,
    onTray: (name: string, label: string) => `${name}: bottle ${label} is on the tray`,
    whichRun: 'Which run is this bottle for?',
    noRun: 'No run here waits for a bottle',
    noRunHelp: (reagent: string) => `It holds ${reagent}. Start or open the run that it is for, then scan it again.`,
    cannot: (label: string) => `Bottle ${label} may not be used`,
    every: 'Every reason:',
    wrong: (holds: string, wanted: string[]) => `It holds ${holds}; this run needs ${wanted.join(', ')}.`,
    another: 'Take another',
    anyway: 'It was used all the same: record it',
    openNow: 'Open it now',
    onlyUnopened: 'It has not been recorded as opened. If you are opening it now, say so; its opened life begins now.',
    instead: 'Which reagent was it used as?',
    scanNext: 'Scanning another bottle closes this.',
    compare: 'Compare with the print',
    compareHelp: 'The code could be read in more than one way. Use this bottle only if its print says the same.',
    compareFits: 'The print says the same',
    opened: (label: string) => `Bottle ${label} is recorded as opened now`,
  },

  eye: {
    title: (name: string) => `Who judged the end of ${name}?`,
    at: (time: string) => `It is dated ${time}, when you pressed.`,
    me: 'I did',
    other: (name: string) => name,
    notYet: 'It goes on: not ended',
  },
  early: {
    title: (name: string) => `${name} is too short yet`,
    text: (pressed: string, left: string) =>
      `You pressed at ${pressed}, ${left} before it may end. Ended then, it is a finding.`,
    goOn: 'Go on with the step',
    end: 'End it all the same',
  },
  order: {
    title: (name: string) => `${name} is not the next step`,
    text: (name: string) => `Next comes ${name}. Starting out of order is a finding.`,
    goBack: 'Keep the order',
    start: 'Start it all the same',
  },

  subjects: {
    title: 'On this run',
    control: (kind: string) => `${kind} control`,
    picture: 'Add a picture',
    pictures: (count: number) => counted(count, 'picture kept', 'pictures kept'),
    confirm: 'Identity confirmed',
    confirmAsk: 'Confirm identity',
    confirmTitle: (label: string) => `Whose is ${label}?`,
    confirmHelp: 'Compare two identifiers on the specimen with the request, then confirm.',
    confirmTwo: 'I compared two identifiers, and both fit.',
    noIdentifiers: 'No identifiers are kept here, or your role does not show them. Compare with the request form.',
    confirmAction: 'Confirm',
    spoil: 'It is spoiled',
    spoiled: (what: string) => `Spoiled: ${what}`,
    spoilTitle: (label: string) => `What happened to ${label}?`,
    spoilHelp: 'Only this one is held; the rest of the rack goes on.',
    spoilField: 'What happened',
    spoilAction: 'Record as spoiled',
  },

  control: {
    title: (label: string) => `Read control ${label}`,
    read: 'Read',
    unread: 'not read yet',
    asExpected: 'as expected',
    notAsExpected: 'not as expected',
  },

  findings: {
    title: 'What speaks against release',
    help: 'The gate as it stands now. It informs; a release is signed on its own page.',
    clear: 'Nothing speaks against it',
    held: 'Held',
    none: 'Nothing to show yet.',
    measured: 'measured',
    against: 'against',
    mend: 'To mend',
    settled: 'settled',
    acknowledge: 'Seen for the whole rack',
    decide: 'Decide',
    decideTitle: 'The clocks could not decide this',
    decideYes: 'It kept its time',
    decideNo: 'It did not',
    decideReason: 'Why',
    decideAction: 'Record the decision',
  },

  answer: {
    open: 'Record a spoken answer',
    title: 'Spoken before it was signed',
    who: 'For which specimen or slide',
    point: 'Release point',
    words: 'The words, as they were said',
    listener: 'Who listened',
    readBack: 'They read it back, and it was right',
    gate: 'What the gate says now',
    action: 'Record the answer',
    done: 'The spoken answer is recorded, with what the gate said',
    caution: 'A spoken answer is no release. Say plainly that it is preliminary.',
  },

  log: {
    title: 'What happened',
    undo: 'Undo',
    undone: 'withdrawn',
    all: (count: number) => `Show all ${count}`,
    undoReason: 'pressed by mistake, undone at the bench',
    correct: 'Correct the time',
    correctTitle: 'When did it really happen?',
    correctNow: (time: string) => `Recorded at ${time}`,
    date: 'Date and time',
    dateError: 'Give a date and a time that is not in the future.',
    sure: 'How sure is that, in seconds either way?',
    sureHelp: 'For a time known to the minute, 30.',
    reason: 'Why the record was wrong',
    reasonHelp: 'At least three letters. The old time stays in the record.',
    correctAction: 'Correct it',
    late: 'entered afterwards',
    underPass: 'under a day pass, without a network',
    unsent: 'not sent yet',
    kinds: {
      'tray-scanned': 'put on the tray',
      'step-started': 'started',
      'step-ended': 'ended',
      'temperature-read': 'temperature read',
      corrected: 'corrected',
      noted: 'note',
      abandoned: 'run abandoned',
      'subject-spoiled': 'spoiled',
      'control-read': 'control read',
      acknowledged: 'caution seen',
      resolved: 'decided',
      'identity-confirmed': 'identity confirmed',
      answered: 'spoken answer',
      attested: 'identity attested',
      'device-settled': 'this device has sent everything',
      'device-lost': 'device declared lost',
      supervised: 'supervisor named',
      cleared: 'station cleared',
    } satisfies Record<RunEventKind, string>,
  },

  note: {
    open: 'Write a note',
    title: 'A note in this run',
    field: 'Note',
    help: 'Without the name or number of the patient.',
    action: 'Keep the note',
  },
  supervisor: {
    open: 'Name a supervisor',
    title: 'Who stands by in this run?',
    field: 'Supervisor',
    help: 'A trainee works under somebody who is competent in this protocol.',
    choose: 'Choose',
    nobody: 'Nobody else is competent in this protocol now; ask the manager.',
    action: 'Name the supervisor',
  },
  temperature: {
    title: (name: string) => `Temperature of ${name}`,
    field: 'Reading',
    help: (text: string) => `Wanted: ${text}`,
    error: 'Give a number, such as 37. No mark for thousands.',
    unit: 'Unit',
    action: 'Record the reading',
  },
  abandon: {
    open: 'Abandon this run',
    title: 'Abandon this run?',
    text: 'Its steps stop here and nothing of it can be released. Its record stays.',
    field: 'Why',
    action: 'Abandon the run',
    done: (reason: string) => `Abandoned: ${reason}`,
  },
  clear: {
    open: 'Clear the station',
    title: 'Clear the station?',
    text: 'The run leaves the bench. Its record stays, and its release goes on elsewhere.',
    unread: 'Some controls have not been read. Read them first, or what they cover stays held.',
    action: 'Clear it',
  },
  more: 'More for this run',
  report: 'Report (PDF)',
  before: {
    title: 'Before it goes on',
    identity: (labels: string) => `confirm the identity of ${labels}`,
    bottles: (names: string) => `scan the bottles of ${names}`,
  },
  recorded: (what: string, name: string) => `${name}: ${what}`,
} as const;

/** Of a long account of a concentration the bench needs its beginning, and nothing where the name says it already. */
export function strength({ concentration }: Step, reagentName: string): string {
  if (!concentration) return '';
  const { text, value, unit } = concentration;
  const short = text.split(/[:;,] /)[0] ?? text;
  return reagentName.includes(short) || reagentName.includes(`${value} ${unit}`) ? '' : short;
}

/** Whether a figure stands on nothing but a suggestion. */
export function isProposal(status: FigureStatus): boolean {
  return status === 'proposal';
}
