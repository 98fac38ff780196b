import { counted } from '../../core/counted.js';

export const KEEPING = {
  title: 'Keeping',
  about:
    'For how long records are kept, by what the law asks for at the least and what this laboratory adds. The program itself deletes no record, whatever its age; these terms say until when nobody may.',
  law: 'The floors are those of 42 CFR 493.1105. State law, an accrediting body or your own policy may ask for more: look there first. Slides, blocks and tissue have terms of their own (10, 2 and 5 years for histology slides, blocks and cytology slides).',
  kinds: 'What is kept',
  column: { records: 'Records', oldest: 'The oldest', until: 'Kept until' },
  years: (count: number) => counted(count, 'year'),
  floor: (years: number, from: string, clause: string) => `at least ${counted(years, 'year')} ${from} (${clause})`,
  own: (name: string, day: string) => `set by ${name} on ${day}`,
  asTheLaw: 'as the law has it',
  none: 'none yet',
  never: 'when a person says so',
  past: (count: number) => counted(count, 'is past its years and stays', 'are past their years and stay'),
  held: 'on legal hold',

  term: {
    open: 'Change the term',
    title: (kind: string) => `For how long: ${kind}`,
    years: 'Years',
    yearsHelp: (floor: number) => `A whole number, ${floor} or more.`,
    reason: 'Why',
    action: 'Sign the term',
    done: 'The term is signed',
  },
  holds: {
    title: 'Legal holds',
    about: 'While a hold lies on a kind, no term of it becomes shorter and nothing of it may go, whatever its age.',
    none: 'Nothing is on hold.',
    open: 'Hold records',
    sheet: 'Hold records',
    everything: 'every kind',
    kinds: 'What it holds',
    kindsHelp: 'Tick none to hold every kind.',
    from: 'From the day',
    to: 'To the day',
    dayHelp: 'A day such as 2026-11-25; empty for no bound.',
    reason: 'Why, and who asked for it',
    action: 'Sign the hold',
    done: 'The hold is signed',
    between: (from: string | null, to: string | null) =>
      from === null && to === null
        ? 'of all times'
        : `${from === null ? '' : `from ${from} `}${to === null ? '' : `until ${to}`}`.trim(),
    liftedBy: (name: string, day: string) => `lifted by ${name} on ${day}`,
    lift: 'Lift',
    liftTitle: 'Lift the hold?',
    liftReason: 'Why it may be lifted',
    liftAction: 'Sign that it is lifted',
    lifted: 'The hold is lifted',
    signedBy: (name: string, day: string) => `${name}, ${day}`,
  },
} as const;
