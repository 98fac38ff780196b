import { describe, expect, it } from '@jest/globals';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { ASKING_ACTS, SILENT_ACTS } from '../../../src/core/second-look/acts.js';

/** Names of acts in a file of the program, where they are handed to `store.change`. */
function actsIn(text: string): string[] {
  return [...text.matchAll(/'([a-z-]+\.[a-z-]+)',\s*(?:async|write|decide|work|\(?unit)/g)].map(
    ([, name]) => name ?? '',
  );
}

describe('The acts of the program', () => {
  // The design: each act that changes a fact the gate used asks in its own transaction. An act that nobody classified fails here.
  it('each stand among those that ask or those that do not, with why', () => {
    const ABOUT_FACTS =
      /^(run|lot|container|hold|temperature|competence|instrument|protocol|reagent|control[\w-]*|bath|preparation|place|lookback|release|policy|study\.decided|subject|order\.received|picture\.measured)/;
    const named = ['modules', 'jobs', 'store'].flatMap((folder) =>
      readdirSync(join('src', folder), { recursive: true, encoding: 'utf8' })
        .filter((file) => file.endsWith('.ts'))
        .flatMap((file) => actsIn(readFileSync(join('src', folder, file), 'utf8'))),
    );
    expect(named.length).toBeGreaterThan(40);
    const unknown = named.filter((name) => ABOUT_FACTS.test(name) && !(name in ASKING_ACTS) && !(name in SILENT_ACTS));
    expect(unknown).toEqual([]);
    expect(Object.keys(ASKING_ACTS).filter((name) => name in SILENT_ACTS)).toEqual([]);
  });
});
