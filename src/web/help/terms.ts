/** A word of the program and what it means here, in a sentence. */
export interface Term {
  word: string;
  means: string;
}

/** In the order in which work meets them; told once, for people. */
export const TERMS: readonly { group: string; terms: readonly Term[] }[] = [
  {
    group: 'At the bench',
    terms: [
      { word: 'protocol', means: 'A stain as ordered, timed steps, approved by the director.' },
      {
        word: 'revision',
        means:
          'One state of a protocol. Once approved it never changes, and a run keeps to the one that it began with.',
      },
      { word: 'run', means: 'One performance of a revision on specimens or slides, with its controls.' },
      { word: 'rack', means: 'The slides of a run that go through the steps together.' },
      { word: 'station', means: 'The bench place where a run is done, such as a staining line or a bedside.' },
      {
        word: 'step',
        means: 'One act with a reagent that begins and ends: by the clock, or by the eye of a named person.',
      },
      { word: 'window', means: 'From when to when a step may end; its ends belong to it.' },
      { word: 'target', means: 'The time inside the window to aim at.' },
      { word: 'gap', means: 'The time between the end of a step and the start of the next, in which tissue may dry.' },
      { word: 'critical step', means: 'A step whose failure stops a result; elsewhere it is noted.' },
      {
        word: 'indeterminate',
        means: 'The clocks are not sure enough to say whether a time lay inside its window; a person decides.',
      },
      { word: 'tray', means: 'The bottles that a run uses, each scanned when it is set there.' },
      {
        word: 'correction',
        means: 'An entry that puts an earlier one right and names the reason; the earlier one stays.',
      },
      {
        word: 'plan of the bench',
        means: 'Start times at which no pair of hands is needed twice and every window holds.',
      },
      { word: 'paper sheet', means: 'A numbered sheet of a protocol for when nothing works, entered afterwards.' },
    ],
  },
  {
    group: 'Reagents and stock',
    terms: [
      { word: 'reagent', means: 'What a thing is, as the catalogue names it.' },
      { word: 'lot', means: 'One batch of a reagent, by its maker’s number.' },
      { word: 'container', means: 'One bottle, box or bath of a lot, with a label of its own.' },
      {
        word: 'preparation',
        means: 'A working solution made here by a recipe: a lot itself, with its own life and label.',
      },
      { word: 'bath', means: 'A container in use that ages by days and by the slides that pass through it.' },
      { word: 'accepted', means: 'Decided by a manager or the director: its containers may serve patients.' },
      { word: 'quarantine', means: 'A lot waits for a decision and serves no patient until then.' },
      { word: 'opened life', means: 'How long a container may be used once it was opened.' },
      {
        word: 'ledger',
        means: 'Every movement of stock. What is left is the sum of it, never a number that somebody set.',
      },
      { word: 'outlook', means: 'What runs out when, and by which day to order.' },
      { word: 'trace', means: 'From a lot to every specimen that it touched, and back.' },
      { word: 'recall', means: 'A lot is set aside at once, and what it touched is looked at.' },
    ],
  },
  {
    group: 'Controls',
    terms: [
      { word: 'control', means: 'Material of known reaction, stained to show that the stain works.' },
      { word: 'control task', means: 'A control that is due.' },
      {
        word: 'control plan',
        means: 'Which controls are due and when, signed by the director; never laxer than the published floor.',
      },
      { word: 'lookback', means: 'What must be looked at again because a control failed or a lot was recalled.' },
      { word: 'chart', means: 'Measured controls over time, on limits from the laboratory’s own data.' },
      { word: 'study', means: 'Two methods or lots compared on the same cases.' },
    ],
  },
  {
    group: 'Letting a result out',
    terms: [
      { word: 'gate', means: 'The rules that judge a run from its facts. Whoever asks, whenever, they find the same.' },
      {
        word: 'finding',
        means:
          'One fact that speaks against releasing: what, when, measured against what, by which rule, and what mends it.',
      },
      { word: 'release point', means: 'A place in a protocol where a result may leave, such as the stained slide.' },
      { word: 'clear', means: 'Nothing that is not settled speaks against release.' },
      { word: 'held', means: 'Something speaks against release; what mends it stands beside it.' },
      { word: 'release', means: 'The signed act that lets a result out.' },
      { word: 'hold', means: 'Somebody keeps back a result or a container, with a reason, until it is lifted.' },
      {
        word: 'exception',
        means: 'A release over a finding, with a reason and two signatures, and a mark on every report from then on.',
      },
      { word: 'spoken answer', means: 'What was said at the bedside before it was signed, and who read it back.' },
      {
        word: 'second look',
        means: 'A fact changed after a release, so the gate is asked again and a person answers what comes of it.',
      },
      {
        word: 'in question',
        means: 'A released result of which the gate now says worse, until a person has answered.',
      },
    ],
  },
  {
    group: 'People, quality and the record',
    terms: [
      {
        word: 'competent',
        means: 'Assessed for a protocol and still within the term; a trainee works under a named supervisor.',
      },
      {
        word: 'deviation',
        means:
          'Something that went otherwise than it should, followed from its cause to a check that the action helped.',
      },
      { word: 'policy', means: 'How the laboratory makes rules of the gate stricter, by signed revisions.' },
      {
        word: 'signature',
        means: 'A name, an instant and a meaning, given with the password and bound to what was signed.',
      },
      { word: 'entry', means: 'One act in the record, chained to the one before, so that a change shows.' },
      { word: 'checkpoint', means: 'A signed statement of how far the record goes, to be kept elsewhere.' },
      { word: 'evidence pack', means: 'Records of a period that verify without this program.' },
      { word: 'day pass', means: 'Lets somebody who badged in today take this device over without a network.' },
    ],
  },
];
