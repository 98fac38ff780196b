import type { Weight } from '../../core/gate/finding.js';
import type { RunPurpose } from '../../core/run/events.js';
import type { Release, ReleaseKind } from '../api.paths.js';
import type { PointStanding } from './standing.js';
import type { TimeVerdict } from './measure.js';

export const RELEASE = {
  title: 'Release',
  about: 'What stands on the benches and what left lately, by what waits for a signature.',
  caution: 'The gate informs. It makes no diagnosis and replaces no licensed judgement.',
  groups: {
    clear: 'Waits for a signature',
    held: 'Held',
    'not reached': 'Still under way',
    released: 'Released',
    closed: 'Nothing to release',
  } satisfies Record<PointStanding, string>,
  groupHelp: {
    clear: 'Nothing speaks against these. A releaser signs each one.',
    held: 'Something speaks against these. Open one to see what, and what mends it.',
    'not reached': 'The step that a result waits for is not over yet.',
    released: 'The last runs from which a result was released.',
    closed: 'Abandoned, or not for patients.',
  } satisfies Record<PointStanding, string>,
  standing: {
    clear: 'clear',
    held: 'held',
    'not reached': 'not there yet',
    released: 'released',
    closed: 'closed',
  } satisfies Record<PointStanding, string>,
  empty: 'No run waits here',
  emptyHelp:
    'A run appears as soon as somebody starts it on a bench. Once its release point is reached, what speaks for and against it stands here, and a releaser signs.',
  toBench: 'Go to the bench',
  run: {
    revision: (number: number) => `revision ${number}`,
    at: (station: string) => `at ${station}`,
    started: (time: string) => `started ${time}`,
    purposes: {
      patients: 'for patients',
      acceptance: 'to accept a lot',
      training: 'for training',
    } satisfies Record<RunPurpose, string>,
    counted: (count: number, standing: string) => (count === 1 ? standing : `${count} ${standing}`),
    more: (count: number) => `and ${count} more`,
    judging: 'Asking the gate…',
    none: 'no patient’s specimen',
    older: 'Show older runs',
    onBench: 'on the bench',
    judged: (seq: number, rules: string) => `judged up to record number ${seq} by rules version ${rules}`,
  },

  verdicts: {
    title: 'Verdict and release',
    about: 'For each specimen or slide and each point where a result may leave.',
    none: 'This run has no patient’s specimen or slide, so nothing leaves it.',
    heldBy: 'Held by',
    clear: 'Clear: nothing speaks against release.',
    clearNotes: (count: number) =>
      count === 1 ? 'Clear; one note stays visible.' : `Clear; ${count} notes stay visible.`,
    notReached: 'Not reached yet.',
    closed: 'Nothing of this run leaves.',
    notYours: 'A person with the role releaser signs here.',
    open: 'Release',
    openMore: 'Release something else here',
    filter: 'Find a label',
    identity: (confirmed: boolean) => (confirmed ? 'identity confirmed' : 'identity not confirmed'),
  },

  form: {
    kind: 'What leaves',
    kinds: {
      'stained material': { name: 'Stained material', more: 'The slide or specimen itself, to whoever reads it' },
      adequacy: { name: 'Adequacy', more: 'Whether there is enough, and of what, to judge' },
      'preliminary impression': { name: 'Preliminary impression', more: 'What it looks like before the final report' },
    } satisfies Record<ReleaseKind, { name: string; more: string }>,
    words: 'Words',
    wordsHelp: 'Exactly as they go out. Without the patient’s name or number.',
    wordsNone: 'Words (may be left empty)',
    spoken: 'Spoken before:',
    useSpoken: 'Take these words',
    action: 'Sign and release',
    place: 'Where you read it',
    placeHelp: 'Empty when you sit in the laboratory; otherwise the place, such as: at home, by the picture.',
    exception: {
      open: 'Release by exception',
      about:
        'The gate holds this. Two people may let it out over these findings, with a reason that stands beside the result from then on.',
      reason: 'Why it may go out all the same',
      second: 'The second person signs here',
      login: 'Name for signing in',
      password: 'That person’s password',
    },
    amend: {
      open: 'Amend it',
      about: 'The release before stays readable, with this one beside it.',
    },
    refused: 'The gate refused. What holds it now:',
    done: (kind: string, label: string) => `${kind} of ${label} is released`,
    cancel: 'Not now',
  },
  signed: {
    title: (kind: string) => `Released: ${kind}`,
    judged: (seq: number, rules: string) => `Judged up to record number ${seq}, rules version ${rules}`,
    notes: (count: number) =>
      count === 0
        ? 'No findings then'
        : count === 1
          ? '1 finding then, settled or a note'
          : `${count} findings then, settled or notes`,
  },

  after: {
    standings: {
      stands: 'stands',
      'in question': 'in question',
      amended: 'amended',
      withdrawn: 'withdrawn',
    } satisfies Record<Release['standing'], string>,
    second: 'Second signature, for the exception',
    place: (place: string) => `Read at another place: ${place}`,
    spoken: 'It confirms the answer that was spoken before.',
    questioned: (reason: string) => `In question: ${reason}`,
    answered: (reason: string, outcome: string) => `${reason}: ${outcome}`,
    withdraw: {
      open: 'Withdraw it',
      title: 'Withdraw this release?',
      about: 'It stays readable, marked as withdrawn. Tell whoever may act on it before you sign.',
      reason: 'Why',
      told: 'Whom you told, and how',
      toldHelp: 'Such as: the radiologist, by telephone, read back.',
      action: 'Sign the withdrawal',
      done: 'The release is withdrawn',
    },
    withdrawn: (when: string, why: string, told: string) => `Withdrawn ${when}: ${why} Told: ${told}`,
    hold: {
      open: 'Hold it back',
      lift: 'Let it go on',
      title: 'Hold this result back?',
      liftTitle: 'Let this result go on?',
      reason: 'Why',
      action: 'Hold it back',
      liftAction: 'Lift the hold',
      holds: (when: string, why: string) => `Held back by a person since ${when}: ${why}`,
    },
  },

  findings: {
    title: 'Findings',
    about: 'Each says what happened, when, measured against what, and what mends it.',
    none: 'The gate found nothing that speaks against this run.',
    when: 'When',
    measured: 'Measured',
    against: 'Against',
    source: 'Serves',
    mend: 'To mend it',
    on: (label: string) => `on ${label}`,
    onRun: 'on the whole run',
    settled: 'settled',
    settledBy: (who: string, when: string, why: string) => `Settled by ${who}, ${when}${why && `: ${why}`}`,
    resolvedAgainst: (who: string, when: string, why: string) =>
      `${who} decided that it did not conform, ${when}: ${why}`,
    neverExcused: 'No exception can let a result out over this.',
    weights: { stop: 'Stop', caution: 'Caution', note: 'Note' } satisfies Record<Weight, string>,
    acknowledge: 'Seen and accepted, for the whole rack',
    decide: 'Decide it',
    sheet: {
      title: 'What the clocks could not decide',
      question: 'Did it keep its time?',
      yes: { name: 'It did', more: 'The finding is settled and holds nothing any more' },
      no: { name: 'It did not', more: 'The finding stays and holds what it holds' },
      reason: 'What tells you so',
      reasonHelp: 'At least three letters. It stays in the record under your name.',
      action: 'Record the decision',
    },
  },

  timeline: {
    title: 'Steps in their windows',
    about:
      'Each bar is the time that a step may take, each tick its target, each mark what was measured and how surely.',
    key: {
      window: 'allowed time',
      target: 'target',
      measured: 'measured, with its uncertainty',
    },
    critical: 'critical',
    byEye: 'ended by eye',
    judgedBy: (name: string) => `judged by ${name}`,
    notDone: 'not done',
    leftOut: 'left out, which is allowed',
    running: (since: string) => `running since ${since}`,
    from: (start: string, end: string) => `${start} to ${end}`,
    took: (time: string, half: string | null) => (half === null ? `${time}, uncertainty unknown` : `${time} ± ${half}`),
    window: (min: string | null, max: string | null) =>
      min !== null && max !== null
        ? `${min} to ${max}`
        : min !== null
          ? `at least ${min}`
          : max !== null
            ? `at most ${max}`
            : 'no limits',
    target: (time: string) => `target ${time}`,
    verdict: {
      within: 'in its window',
      short: 'too short',
      long: 'too long',
      indeterminate: 'undecided',
      torn: 'end before start',
    } satisfies Record<TimeVerdict, string>,
    again: (n: number) => `done again (${n})`,
    gap: (took: string, max: string, verdict: string) => `${took} after the step before (at most ${max}): ${verdict}`,
    gapVerdict: {
      within: 'kept',
      short: 'kept',
      long: 'too long',
      indeterminate: 'undecided',
      torn: 'before the end of the step before',
    } satisfies Record<TimeVerdict, string>,
    temperature: (reading: string) => `read ${reading}`,
    late: 'entered afterwards',
  },

  containers: {
    title: 'Containers',
    about: 'What was scanned onto the tray, and whether it was valid when it was used.',
    none: 'Nothing was scanned onto the tray of this run.',
    container: 'Container',
    reagent: 'Reagent',
    lot: 'Lot',
    from: 'On the tray from',
    until: 'May be used until',
    valid: 'When it was used',
    noLimit: 'no limit known',
    fine: 'nothing spoke against it',
    onlyFor: (step: string) => `only for ${step}`,
  },

  controls: {
    title: 'Controls',
    about: 'What each should show, and what was seen.',
    none: 'The protocol asks for no control.',
    kind: (kind: string) => `${kind} control`,
    notRequired: 'advised, not required',
    missing: 'not on this run',
    unread: 'not read yet',
    expected: 'Expected',
    observed: 'Seen',
    passed: 'as expected',
    failed: 'not as expected',
    readBy: (who: string, when: string) => `read by ${who}, ${when}`,
  },

  answers: {
    title: 'Spoken answers',
    about: 'Said before anything was signed.',
    none: 'Nothing was said before it was signed.',
    said: (who: string, when: string) => `Said by ${who}, ${when}`,
    listener: (who: string) => `to ${who}`,
    readBack: 'read back, and right',
    notReadBack: 'not read back',
    gate: { clear: 'The gate said clear.', held: 'The gate said held.' },
    gateBy: (count: number) => (count === 1 ? 'One finding stood then.' : `${count} findings stood then.`),
    removed: 'The words were removed by law.',
  },
} as const;
