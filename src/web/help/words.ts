export const HELP = {
  title: 'Help',
  about: 'The words of the program, its keys and shapes, and what to do when something is in the way.',
  onPage: 'On this page',

  guide: {
    title: 'Somebody to lead you',
    firstHour:
      'In this invented laboratory a line above each page leads through the first tasks of the person you are.',
    firstSteps: 'A line above each page says what this laboratory still needs before its first patient.',
    open: 'See all of it',
    bring: 'Bring the line back',
    brought: 'The line is back above each page.',
    isShown: 'It is shown now.',
  },

  terms: {
    title: 'Words',
    about: 'What they mean in this program.',
    find: 'Find a word',
    none: 'No word is like that',
    noneHelp: 'Specimens, lots, people and pages are found by Find, in the top bar.',
  },

  keys: {
    title: 'Keys, scanners and pedals',
    lines: [
      { keys: ['Ctrl', 'K'], does: 'opens Find, for specimens, runs, lots, orders, people and pages.' },
      { keys: ['/'], does: 'does the same where no field takes text; Find itself turns it off on this device.' },
      { keys: ['Space'], does: 'presses the button that has the focus.' },
      { keys: ['any key'], does: 'presses the next act on the bench while it has the focus, as a foot pedal does.' },
      { keys: ['Tab'], does: 'moves to the next field or button; Shift and Tab back.' },
      { keys: ['Esc'], does: 'closes a dialog without doing anything.' },
    ],
    scan: 'A hand scanner may be used on the bench at any time, wherever the focus is: a bottle goes onto its tray, a specimen opens its run, scanned once more it starts the next step, and a badge asks for its PIN. Elsewhere scan into the field that asks for it.',
    camera: 'Without a scanner, Use the camera reads the same codes; without either, type what is printed.',
    skip: 'The first Tab on each page offers to skip to its content.',
  },

  shapes: {
    title: 'Shapes and words',
    about: 'Nothing is told by colour alone. A word always says it, and its frame says it again.',
    phases: 'Where a step stands in its window',
    phase: {
      early: 'the window is not open yet; ending now would be a finding.',
      open: 'the window is open.',
      closing: 'the window is about to close.',
      over: 'the window is past. End it all the same: the true time is worth more than a good one.',
    },
    scale: 'The scale: the frame is the window, the dotted line the target, the hatching the time that ran.',
    weights: 'How much a finding weighs',
    weight: {
      stop: 'holds the result until it is mended, or two people sign an exception. Some are never excused.',
      caution: 'must be seen by somebody, once for the rack.',
      note: 'holds nothing and stays visible.',
    },
    tags: 'Frames elsewhere',
    tag: {
      plain: { word: 'plain', means: 'as it should be.' },
      soft: { word: 'thin', means: 'yet to come, or over.' },
      double: { word: 'double', means: 'asks for a person.' },
      full: { word: 'filled', means: 'stops something.' },
    },
    ahead:
      'What lies ahead: a full bar wants hands, a diamond wants an eye, a line with ends is when the next moments may be, and hatching means that two want the same at once.',
  },

  offline: {
    title: 'Without a network',
    lines: [
      'Go on at the bench. Its page opens, times and records without a network; steps, dips, readings and notes are kept on this device.',
      'The top bar says how many entries are on this device only. They are sent once, in order, when the network is back. Do not clear the browser’s data, and leave the device switched on.',
      'Until then nothing can be signed or released, no stock is booked, and others do not see what you enter.',
      'Whoever badged in on this device today can take it over with badge and PIN; what they enter stays marked.',
      'The gate holds a run for which a device may still have unsent entries. If a device is lost, two people declare it so on the release page.',
      'If the device itself fails, take a numbered paper sheet and a stopwatch; the sheet is entered afterwards.',
    ],
    refused:
      'An entry that the server did not take is never thrown away: the top bar shows it, with why and what mends it.',
    toPaper: 'Paper sheets',
  },

  cautions: {
    title: 'Cautions',
    lines: [
      'Stainwright informs and records. It makes no diagnosis, and it replaces neither local procedure, safety rules, applicable codes nor licensed judgement. Where they differ from what stands here, they count.',
      'Dyes that bind DNA are suspected mutagens; fixatives, acids and solvents burn, poison or catch fire. Read the safety data sheet of the product in your hand, and work with the gloves, hood and eye protection that it and your laboratory ask for.',
      'Picric acid that dries and ammoniacal silver that stands can explode. Leave a bottle that looks dry or old where it is and call whoever is responsible for safety.',
      'Compare two identifiers on the specimen itself with the request. A scan shows what the label says, not whose tissue it is.',
      'A spoken answer is preliminary until it is signed. Say so.',
      'What the gate names as a regulation is a summary. The source, local law and the accreditor decide.',
      'In an emergency follow the rules of the house first; the record can wait and take a late entry.',
    ],
  },

  ask: {
    title: 'Who to ask',
    lines: [
      { who: 'Manager', what: 'lots, orders, places, badges, who is competent in what.' },
      { who: 'Director', what: 'protocols, control plans, rules of the gate, exceptions.' },
      { who: 'Releaser', what: 'a result that waits, a finding, a second look.' },
      {
        who: 'Administrator',
        what: 'accounts, devices, connections, backups, and any message that gives a number of a request.',
      },
      { who: 'Person responsible for safety', what: 'spills, exposure, waste. Do not look for that here first.' },
    ],
  },
};
