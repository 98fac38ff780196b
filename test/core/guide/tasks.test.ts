import { describe, expect, it } from '@jest/globals';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { doneOf, guideFor, READINESS, type Seen, type Task } from '../../../src/core/guide/tasks.js';
import { ROLES, type Role } from '../../../src/core/people/roles.js';
import { RUN_EVENT_KINDS } from '../../../src/core/run/events.js';
import { match } from '../../../src/web/app/match.js';
import { GUIDE } from '../../../src/web/guide/words.js';

/** By a name that the compiler does not follow, since the pages are compiled on their own. */
const screensFile = '../../../src/web/app/screens.js';
const { SCREENS, canOpen } = (await import(screensFile)) as {
  SCREENS: readonly { path: string }[];
  canOpen: (href: string, may: (...roles: Role[]) => boolean) => boolean;
};

const seen = (told: Partial<Seen>): Seen => ({ acts: new Set(), looked: new Set(), ready: new Set(), ...told });

const firstHour = (role: Role): readonly Task[] => guideFor([role], true)?.tasks ?? [];

describe('What somebody new is led through', () => {
  it.each([
    [['technician'], true, 'technician'],
    [['manager', 'technician'], true, 'manager'],
    [['director', 'releaser'], true, 'director'],
    [['reviewer'], true, 'reviewer'],
    [[], true, undefined],
    [['administrator'], false, 'first-steps'],
    [['director', 'releaser'], false, 'first-steps'],
    [['technician', 'manager'], false, undefined],
  ] satisfies [Role[], boolean, string | undefined][])('for %j, invented laboratory %s: %s', (roles, demo, id) => {
    expect(guideFor(roles, demo)?.id).toBe(id);
  });

  it('is done by any of the acts that a task waits for, by looks of a reviewer, and by what a laboratory has', () => {
    const releaser = guideFor(['releaser'], true);
    const reviewer = guideFor(['reviewer'], true);
    const setUp = guideFor(['administrator'], false);
    if (!releaser || !reviewer || !setUp) throw new Error('these are led');
    expect(
      doneOf(releaser, seen({ acts: new Set(['run.release-withdrawn', 'run.released', 'lot.received']) })),
    ).toEqual(['release', 'second-look']);
    expect(doneOf(reviewer, seen({ looked: new Set(['run']) }))).toEqual(['pull-run']);
    expect(doneOf(setUp, seen({ ready: new Set(['stock', 'people']) }))).toEqual(['people', 'stock']);
    expect(doneOf(setUp, seen({}))).toEqual([]);
  });

  it.each(ROLES)('leads a %s only to pages that open for them, and waits for pages that are there', (role) => {
    const may = (...roles: Role[]): boolean => roles.includes(role);
    const tasks = firstHour(role);
    expect(tasks.length).toBeGreaterThan(3);
    expect(tasks.filter(({ path }) => !canOpen(path, may))).toEqual([]);
    const visited = tasks.flatMap(({ told }) => ('visits' in told ? [told.visits] : []));
    // The screen that is found first for an address is the one that is opened.
    const found = visited.map((path) => SCREENS.find((screen) => match(screen.path, path.replaceAll(':', '')))?.path);
    expect(found).toEqual(visited);
  });

  // A task that waits for an act which nothing does would never be done.
  it('waits only for acts that the program does, and has its words', () => {
    const files = ['modules', 'store'].flatMap((folder) =>
      readdirSync(join('src', folder), { recursive: true, encoding: 'utf8' })
        .filter((file) => file.endsWith('.ts'))
        .map((file) => readFileSync(join('src', folder, file), 'utf8')),
    );
    const known = new Set([
      ...files.flatMap((text) => [...text.matchAll(/'([a-z-]+\.[a-z-]+)'/g)].map(([, act]) => act)),
      ...RUN_EVENT_KINDS.map((kind) => `run.${kind}`),
    ]);
    const tasks = ROLES.flatMap((role) => firstHour(role));
    const acts = tasks.flatMap(({ told }) => ('acts' in told ? told.acts : []));
    expect(acts.length).toBeGreaterThan(20);
    expect(acts.filter((act) => !known.has(act))).toEqual([]);
    expect([...tasks.map(({ id }) => id), ...READINESS].filter((id) => !GUIDE.tasks[id])).toEqual([]);
  });
});
