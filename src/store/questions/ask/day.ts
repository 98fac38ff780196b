import { ALL, type Topic } from './topic.js';

/** A day: everything of it. */
export const day: Topic = {
  find: () => Promise.resolve([]),
  need: (_view, id) => Promise.resolve({ id, label: id, detail: '' }),
  runs: () => Promise.resolve(ALL),
  acts: () => Promise.resolve(ALL),
};
