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
  held: {
    stop: 'Stop',
    caution: 'Caution',
    note: 'Note',
  },
  problem: {
    whatToDo: 'What to do',
    noAnswer: 'Check the network. What you entered stays here and is sent as soon as the server answers.',
    lost: 'Your session ended. Sign in again; nothing you entered is lost.',
    forbidden: 'Your account does not have the role for this. Ask someone who has, or the administrator.',
    conflict: 'Somebody or something was faster. Look at what stands there now, then decide again.',
    tooMany: 'Wait a little, then try again.',
    invalid: 'Mend what is named here and send again.',
    other: 'Try again. If it stays, tell the administrator the number of the request.',
    elsewhere: 'This was entered by another person before the session changed. Enter it again under your own name.',
  },
} as const;
