export const OFFLINE = {
  /** Entries on this device, in the top bar. */
  here: (count: number) =>
    count === 1 ? '1 entry is on this device only' : `${count} entries are on this device only`,
  of: (name: string, count: number) =>
    count === 1
      ? `1 entry of ${name} waits for their sign-in here`
      : `${count} entries of ${name} wait for their sign-in here`,
  refused: (count: number) => (count === 1 ? '1 entry was not taken' : `${count} entries were not taken`),
  stay: 'What is not sent stays on this device, and is sent when you sign in here again.',
  newVersion: 'A new version of the page is here',
  takeVersion: 'Take it now',

  panel: {
    title: 'Not taken by the server',
    help: 'Nothing of this is lost. Mend what is in the way and send it again, give it the right time, or keep it in the run as a note.',
    line: (what: string, at: string, who: string) => `${what}, ${at}, by ${who}`,
    why: 'Why:',
    again: 'Send it again',
    date: 'Give it the right time',
    note: 'Keep it as a note',
    anotherRun: 'a run that is not on the bench any more',
    /** The text of the note that takes an entry's place. */
    noted: (what: string, at: string, why: string) => `Entered at the bench and not taken: ${what}, ${at}. ${why}`,
    /** The text of the note that tells which time the device had. */
    dated: (what: string, at: string, told: string, reason: string) =>
      `Entered at the bench: ${what}, ${at}. Not taken with that time, and dated ${told} instead: ${reason}`,
    others: (name: string) => `Only ${name} can send it, signed in here.`,
  },
};
