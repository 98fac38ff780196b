import { counted } from '../../core/counted.js';

export const OFFLINE = {
  /** Entries on this device, in the top bar. */
  here: (count: number) => counted(count, 'entry is on this device only', 'entries are on this device only'),
  of: (name: string, count: number) =>
    count === 1
      ? `1 entry of ${name} waits for their sign-in here`
      : `${count} entries of ${name} wait for their sign-in here`,
  refused: (count: number) => counted(count, 'entry was not taken', 'entries were not taken'),
  stay: 'What is not sent stays on this device, and is sent when you sign in here again.',
  allSent: (at: string) => `All sent at ${at}`,
  newVersion: 'A new version of the page is here',
  takeVersion: 'Take it now',

  pass: {
    acting: 'Under a day pass: what you enter is marked so',
    signIn: 'Sign in to send',
    notOpened: 'Not taken over',
    none: 'Without a network only somebody who took over on this device today, by badge and PIN, can take it over again.',
    wrong: 'Badge and PIN open no day pass on this device. Try again, or sign in once the network is back.',
    wait: (seconds: number) => `After several wrong PINs this device waits: try again in ${seconds} s.`,
    ended:
      'Sign in again: the server did not take the day pass any more. Nothing is lost; what was entered stays here until it is sent.',
  },

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
    noted: (what: string, at: string, reason: string, why: string) =>
      `Entered at the bench and not taken: ${what}, ${at}. Set aside: “${reason}” The server said: ${why}`,
    aside: {
      title: 'Keep it as a note',
      about: (what: string) =>
        `${what} does not count as done then. It stays in the run as a note with its time, what the server said and your reason.`,
      reason: 'Why it cannot stand as it is',
      reasonHelp: 'At least three letters; the note keeps them.',
      action: 'Keep the note',
    },
    /** The text of the note that tells which time the device had. */
    dated: (what: string, at: string, told: string, reason: string) =>
      `Entered at the bench: ${what}, ${at}. Not taken with that time, and dated ${told} instead: ${reason}`,
    others: (name: string) => `Only ${name} can send it, signed in here.`,
  },
};
