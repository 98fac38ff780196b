import type { GuideId } from '../../core/guide/tasks.js';

/** Wording of a task: what it is called, what it is for, and how it is done. */
interface TaskWords {
  title: string;
  why: string;
  how: string;
}

const FIRST_HOUR = 'First hour';

export const GUIDE = {
  title: FIRST_HOUR,
  next: 'Next:',
  go: 'Go there',
  how: 'Why and how',
  putAway: 'Put away',
  putAwayDone: 'Put away. The help page brings it back.',
  putAwayFromPages: 'Put it away from the pages',
  show: 'Show it on every page',
  counted: (done: number, of: number) => `${done} of ${of} done`,
  done: 'done',
  isNext: 'next',
  openFor: (title: string) => `Open its page: ${title}`,
  another: 'Somebody with another role does this; you see here when it is done.',
  told: 'A task counts as done when the record says so, or, where there is only something to read, when its page was opened on this device. Do them in any order.',
  toldByLaboratory:
    'A step counts as done when what it asks for is there, whoever did it. Do them in any order; local procedure may ask for more before the first patient.',
  toHelp: 'Words, keys and cautions: the help page',
  nothing: 'Nobody leads you here',
  nothingHelp:
    'The first steps of a laboratory are shown to its administrator and director, and those of a day to the people of the invented laboratory. The help page is for everybody.',

  guides: {
    technician: {
      title: FIRST_HOUR,
      about: 'A technician’s work: from a specimen in hand to a run that can be judged.',
      over: 'You have worked a run. What follows is practice.',
    },
    releaser: {
      title: FIRST_HOUR,
      about: 'A releaser’s work: read what the gate found, then let a result out or keep it back, by signature.',
      over: 'You have let a result out and kept one back. What follows is practice.',
    },
    manager: {
      title: FIRST_HOUR,
      about: 'A manager’s work: what comes in, whether it may be used, what runs out, and where it went.',
      over: 'You have followed a lot from its box to its orders. What follows is practice.',
    },
    director: {
      title: FIRST_HOUR,
      about: 'A director’s work: sign what the laboratory works by, and see whether it is kept.',
      over: 'You have signed what others work by. What follows is practice.',
    },
    reviewer: {
      title: FIRST_HOUR,
      about: 'A reviewer’s work: ask the record, pull one run, and take away what proves it without this program.',
      over: 'You have asked, drawn and taken away. Everything you looked at stands in the record.',
    },
    administrator: {
      title: FIRST_HOUR,
      about: 'An administrator’s work: who and what may sign in, and what the program tells other programs.',
      over: 'People, badges and devices are yours now. What follows is practice.',
    },
    'first-steps': {
      title: 'First steps of this laboratory',
      about: 'What has to be here before the first patient’s specimen is stained.',
      over: 'All of it is here.',
    },
  } satisfies Record<GuideId, { title: string; about: string; over: string }>,

  tasks: {
    'start-run': {
      title: 'Start a run by scan',
      why: 'A run ties a specimen, one revision of a protocol and its controls together; every later step hangs on it.',
      how: 'A core waits in the demo: choose Acridine orange, station Ultrasound 1, and type SW1:S:TARN-9020 where its label is asked for, as a scanner would. Register the controls that it asks for, compare the identifiers, start.',
    },
    'set-tray': {
      title: 'Put a bottle on the tray',
      why: 'A bottle is scanned when the tray is set up and when one takes its place, so that the record knows which bottle served each step, and says at once when one may not be used.',
      how: 'Open your run on the bench and type SW1:C:TARN-021B under Tray: it is the dye. SW1:C:TARN-0229 is not opened yet, and the page says what to do about it.',
    },
    'end-step': {
      title: 'Carry a step through',
      why: 'The step’s window says from when to when it may end. The clock is judged by how sure it is, never rounded in your favour.',
      how: 'On the bench press Start on a step and End inside its window. The wide button on top is always the next act over all runs; space, Enter or a foot pedal presses it.',
    },
    'take-back': {
      title: 'Take back a slip',
      why: 'Nothing that was recorded is ever changed. A slip is put right by a correction that stands beside it with its reason.',
      how: 'Under What happened, press Undo at what you pressed by mistake, or Correct the time and say why.',
    },
    'read-control': {
      title: 'Read a control',
      why: 'A control shows that the stain works. Until it was read, the gate holds what it covers.',
      how: 'On the bench, under On this run, press Read beside a control and say whether it reacted as expected.',
    },
    'see-plan': {
      title: 'Look at a plan of the bench',
      why: 'With several racks, the plan finds start times at which no pair of hands is needed twice.',
      how: 'Choose two racks and who is there, press Plan, and read which moments want hands.',
    },
    'read-findings': {
      title: 'Read why a run is held',
      why: 'Each finding says what happened, when, measured against what, by which rule, and what mends it.',
      how: 'On the release page open the run under Held: one of its steps ran too long.',
    },
    release: {
      title: 'Sign a result out',
      why: 'A release is a signed act. It keeps what the gate knew at that moment, so that the same verdict can be found years later.',
      how: 'Open the run under Waits for a signature; one of its slides is clear. Press Release, look at it, and sign with the password.',
    },
    'hold-back': {
      title: 'Hold a result back',
      why: 'You may keep back what the gate lets through: it informs, the judgement is yours.',
      how: 'Open a run whose result has not left, press Hold it back and say why. It can be lifted later.',
    },
    'second-look': {
      title: 'Answer a second look',
      why: 'When a fact changes after a release, the gate is asked again. A person then says what comes of it.',
      how: 'A step’s time was corrected after a core was released. See what the gate said then and says now; then let it stand, amend it or withdraw it.',
    },
    'receive-lot': {
      title: 'Receive a lot',
      why: 'A lot is on the shelf from here on: its expiry counts and its bottles have labels of their own.',
      how: 'Choose a reagent, give a lot number and the expiry as it is printed, and how many bottles came.',
    },
    'accept-lot': {
      title: 'Decide on a lot',
      why: 'Until it is accepted, a lot may serve only in runs without patients.',
      how: 'Open a lot that waits for a decision (there is one of acridine orange), press Decide on this lot, and say what it rests on.',
    },
    'see-outlook': {
      title: 'See what runs out',
      why: 'The forecast shows its arithmetic: use a day, stock, lead time, and the last day to order.',
      how: 'On the outlook open a reagent that is marked late or today, and read how its day was reckoned.',
    },
    'draft-order': {
      title: 'Turn a proposal into an order',
      why: 'What is proposed is rounded to whole packs and capped by what can be used before it expires.',
      how: 'From the outlook go to the proposals, look at the quantities, and save a draft. Its approval is a second step, and over a limit the director’s.',
    },
    'count-stock': {
      title: 'Count a bottle',
      why: 'What is left is the sum of its movements; a count puts it right and keeps the difference with its reason.',
      how: 'Choose a reagent under Stock-take, press Count at one of its bottles, and write down what is really in it.',
    },
    'trace-lot': {
      title: 'Trace a lot to its specimens',
      why: 'When a maker recalls a lot, you know in seconds what it touched, through every working solution made from it.',
      how: 'Choose a lot and follow it. Nothing is recalled by looking.',
    },
    'sign-plan': {
      title: 'Sign a control plan',
      why: 'The plan says which controls are due and when: never laxer than the published floor, stricter where you want it.',
      how: 'Open a protocol’s plan, make a plan of our own with a reason, save it, then approve it with its first day and your password.',
    },
    'read-protocol': {
      title: 'Read a protocol as you would sign it',
      why: 'What ships is a draft: a figure that is only a proposal must be set or confirmed by you before patients.',
      how: 'Open any protocol. Figures that are proposals are marked, each other figure names its source, and revisions can be compared.',
    },
    'assess-person': {
      title: 'Decide on a person’s competence',
      why: 'The gate asks of everybody who worked on a run whether they were competent, or supervised, on that day.',
      how: 'Choose a person and a protocol, say what was seen of the six elements, and sign.',
    },
    'tighten-rule': {
      title: 'Make a rule of the gate stricter',
      why: 'Your policy can make a finding heavier, never lighter; a reviewer sees each revision with its reason.',
      how: 'Press Sign a revision, choose a rule and its weight, give a first day and a reason, and sign.',
    },
    'read-month': {
      title: 'Read a month',
      why: 'Held results, failed controls and deviations as rates with their denominators.',
      how: 'Look at the month that runs; it can be printed as PDF.',
    },
    'ask-record': {
      title: 'Ask the record',
      why: 'A day, a stain, a lot, a person, a specimen or an instrument: the answer names the records it stands on.',
      how: 'Choose what to ask about and a period inside what you were granted. Each look of yours is recorded.',
    },
    'pull-run': {
      title: 'Pull one run',
      why: 'One page holds its steps, bottles, controls, findings and signatures.',
      how: 'Ask about a day or a stain and open one of its runs from the answer.',
    },
    requirement: {
      title: 'Follow a requirement to its proof',
      why: 'Each requirement stands beside the records that prove it, or the words that no record exists.',
      how: 'Open one of the list. The texts are summaries: the source decides.',
    },
    'draw-sample': {
      title: 'Draw a sample',
      why: 'Which runs to look at is drawn by a rule that anybody can repeat, so that nobody chose them.',
      how: 'Give a period, a number and a seed; the same seed draws the same sample.',
    },
    'take-pack': {
      title: 'Take away an evidence pack',
      why: 'It verifies without this program: its hashes and signatures can be checked by common tools.',
      how: 'Ask for a pack of a period. Inside, a page says how to verify it; patients are masked.',
    },
    'add-person': {
      title: 'Add a person',
      why: 'Everyone acts under their own name; roles say what they may do, and no role implies another.',
      how: 'Give a name, a name for signing in, roles and a first password.',
    },
    'give-badge': {
      title: 'Give a badge',
      why: 'With badge and PIN a bench changes hands without typing a password; signatures still ask for it.',
      how: 'In a person’s line give them a badge and print it; they set the PIN themselves.',
    },
    'add-device': {
      title: 'Let a device in',
      why: 'A thermometer or an imaging program writes under its own token, which can be ended.',
      how: 'Add a device with its roles and copy the token: it is shown once.',
    },
    connect: {
      title: 'See what goes to other programs',
      why: 'Results and orders leave by open standards, signed, with every delivery kept.',
      how: 'Look at the connections; nothing leaves until one is added.',
    },
    'see-entries': {
      title: 'Look at the chain of entries',
      why: 'Each act is one link. A changed or missing one is found by anybody who checks the chain.',
      how: 'Open the newest entries; the command stainwright verify checks the whole.',
    },

    people: {
      title: 'Add your people',
      why: 'Each acts under their own name; at least a director, who signs, and somebody at the bench.',
      how: 'Add accounts with their roles; each person then changes the first password.',
    },
    places: {
      title: 'Set up storage places',
      why: 'A place has its temperatures; what lay outside them is put on hold.',
      how: 'Give each fridge, cupboard and shelf a short code, a name and its limits.',
    },
    protocol: {
      title: 'Approve a protocol',
      why: 'Nothing is stained for patients before the director has set or confirmed each figure and signed.',
      how: 'Open a draft, set its figures from your own verification, and approve it with a first day.',
    },
    stock: {
      title: 'Receive and accept a lot',
      why: 'A bottle may serve patients once its lot is accepted.',
      how: 'Scan the code on a box, or type its lot number and expiry; then decide on the lot.',
    },
    calendar: {
      title: 'Say when the laboratory is open',
      why: 'Controls of a day fall due from opening to closing, by the laboratory’s own clock.',
      how: 'Under Controls set opening hours and holidays.',
    },
    controls: {
      title: 'Sign the control plans',
      why: 'Until then the published floor counts; what one use is at the bedside, the director defines.',
      how: 'Open each protocol’s plan, look at its clocks, and approve one of your own.',
    },
    run: {
      title: 'Carry out a first run for training',
      why: 'It shows that people, bottles, labels and stations fit together; nothing of it can be released.',
      how: 'Start a run and choose Training.',
    },
  } as Record<string, TaskWords>,
};
