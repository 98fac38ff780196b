/** Wording that several screens share; each screen keeps its own in the words.ts of its folder. */
export const WORDS = {
  close: 'Close',
  cancel: 'Cancel',
  goBack: 'Go back',
  dismiss: 'Dismiss',
  optional: 'may be left empty',
  sending: 'Sending…',
  loading: 'Fetching…',
  tryAgain: 'Try again',
  request: 'Request',
  /** Beside fields into which a day and a time are typed. */
  typedTimes: {
    here: (zone: string) => `Typed times go by the clock of this device (${zone}).`,
    elsewhere: (zone: string, laboratory: string) =>
      `Typed times go by the clock of this device (${zone}). Pages show those of the laboratory (${laboratory}).`,
  },
  /** How many lines a list shows, and of how many. */
  shown: (found: number, all: number | 'more' | undefined) =>
    all === undefined ? `${found} shown` : all === 'more' ? `${found} shown, more below` : `${found} of ${all} shown`,
  /** Where somebody begins who finds a list empty. */
  begin: {
    receive: 'Receive a delivery',
    buying: 'Write down suppliers and products',
    lots: 'Go to the lots',
    protocols: 'Go to the protocols',
    run: 'Start a run',
    deviation: 'Describe a deviation',
  },
  narrowed: {
    clear: 'Show all',
    copy: 'Copy link',
    copied: 'The link to this view was copied.',
  },
  exported: {
    open: 'Export',
    csv: 'What is shown, as CSV',
    workbook: 'What is shown, as a workbook',
  },
  held: {
    stop: 'Stop',
    caution: 'Caution',
    note: 'Note',
  },
  signing: {
    name: 'Signs',
    time: 'Date and time',
    meaning: 'Meaning',
    password: 'Your password, once more',
    passwordHelp: 'It signs in your name. Nobody else may type it for you.',
    bound: 'Hash of what was signed',
    meanings: {
      review: 'Reviewed',
      approval: 'Approved for use in this laboratory',
      responsibility: 'On my responsibility',
      authorship: 'Written',
      release: 'Released: I answer for this result leaving',
    },
    /** What a signature means in acts for which the plain words of its meaning say too little. */
    acts: {
      retire: 'Taken out of use on my responsibility',
      reject: 'Rejected on my responsibility',
      assess: 'Approved: this person may work so in this laboratory',
      order: 'Approved: this order may be sent',
      close: 'Closed on my responsibility',
      withdraw: 'Release withdrawn on my responsibility',
      uphold: 'Upheld: I answer for this result standing',
      second: 'Standing beside the signer, on my responsibility',
    },
  },
  problem: {
    whatToDo: 'What to do',
    noAnswer: 'Check the network. What you entered stays here and is sent as soon as the server answers.',
    lost: 'Your session ended. Sign in again; nothing you entered is lost.',
    forbidden: 'Your account does not have the role for this. Ask someone who has, or the administrator.',
    badge: 'Scan the badge once more and enter its PIN; a lost badge is ended by the manager.',
    password: 'Type it again. After several wrong ones your account waits before it takes another.',
    conflict: 'It does not fit what stands there now; somebody may have been faster. Look at that, then decide again.',
    tooMany: 'Wait a little, then try again.',
    invalid: 'Mend what is named here and send again.',
    other: 'Try again. If it stays, tell the administrator the number of the request.',
    elsewhere: 'This was entered by another person before the session changed. Enter it again under your own name.',
  },
} as const;
