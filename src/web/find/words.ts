import type { components } from '../api.gen.js';

type Kind = components['schemas']['FoundThingDto']['kind'];

export const FIND = {
  open: 'Find',
  shortcut: 'Ctrl K',
  title: 'Find',
  field: 'Specimen, run, lot, bottle, protocol, order, person or page',
  help: 'Part of a name, number or label; a patient’s number in full. A scanned label or a maker’s code works as well.',
  nothing: (text: string) => `Nothing here is called ${text}.`,
  begin: 'Write at least two letters, or choose a page.',
  slash: 'The / key opens this, where no field takes it',
  unreached: 'Finding could not be loaded, since the server did not answer; ask for it again once it does.',
  pages: 'Pages',
  meanings: 'What a word means here',
  results: 'What was found',
  kinds: {
    specimen: 'specimen',
    slide: 'slide',
    control: 'control',
    protocol: 'protocol',
    lot: 'lot',
    container: 'bottle',
    order: 'order',
    deviation: 'deviation',
    person: 'person',
    run: 'run',
  } satisfies Record<Kind, string>,
};
