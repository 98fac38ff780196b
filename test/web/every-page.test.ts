import { beforeAll, expect, it } from '@jest/globals';
import type { Page, Request } from 'playwright-core';
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { Api, overHttp } from '../../src/client.js';
import type { Role } from '../../src/core/people/roles.js';
import { PASSWORD, PEOPLE, STATIONS } from '../../src/demo/laboratory.js';
import { openPage, signIn } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, demo, onDemo } from '../support/stage.js';

interface Registered {
  path: string;
  title: string;
  roles?: readonly Role[];
  review?: true;
}

/** By a name that the compiler does not follow, since the pages are compiled on their own. */
const screensFile = '../../src/web/app/screens.js';
const { SCREENS } = (await import(screensFile)) as { SCREENS: readonly Registered[] };

/** Where a list of the demo is found, and what of its first line stands in the address. */
type First = [list: string, pick: (line: Line) => string];
interface Line {
  id: string;
  code: string;
  reagent: string;
  lotId: string;
  protocolId: string;
  levels: { id: string }[];
  revisions: { id: string }[];
}

const byId = (list: string): First => [list, ({ id }) => id];
const twoRevisions: First = ['/protocols', ({ revisions }) => `${revisions[0]?.id}/compare/${revisions[1]?.id}`];

/** How each screen whose address has a part that changes is opened; a new one that is not listed here fails. */
const FILLED: Record<string, string | First> = {
  '/room/:station': encodeURIComponent(STATIONS.bedside),
  '/paper/runs/:run': byId('/runs'),
  '/release/:run': byId('/runs'),
  '/protocols/:revision': ['/protocols', ({ revisions }) => revisions[0]?.id ?? ''],
  '/protocols/:revision/edit': ['/protocols', ({ revisions }) => `${revisions[0]?.id}/edit`],
  '/protocols/:a/compare/:b': twoRevisions,
  '/stock/places/:place': ['/places', ({ code }) => code],
  '/stock/recipes/:code': ['/recipes', ({ code }) => code],
  '/stock/prepare/:recipe': ['/recipes', ({ code }) => code],
  '/stock/preparations/:lot': ['/preparations', ({ lotId }) => lotId],
  '/stock/recalls/:recall': byId('/recalls'),
  '/stock/outlook/:reagent': ['/outlook', ({ reagent }) => reagent],
  '/stock/orders/:order': byId('/orders'),
  '/stock/:lot': byId('/lots'),
  '/stock/:lot/labels': ['/lots', ({ id }) => `${id}/labels`],
  '/controls/plans/:protocol': ['/control-plans', ({ protocolId }) => protocolId],
  '/controls/charts/:series': ['/control-series', ({ levels }) => levels[0]?.id ?? ''],
  '/controls/failures/:failure': byId('/control-failures'),
  '/controls/lots/:study': byId('/studies'),
  '/deviations/:deviation': byId('/deviations'),
  '/lookbacks/:lookback': byId('/lookbacks'),
  '/record/requirements/:requirement': 'procedure-approved',
};

type Who = keyof typeof PEOPLE;

/** Who works in the laboratory and may open a screen: the director where they may, who is shown the most. */
function worker({ roles }: Registered): Who {
  const people = ['director', ...Object.keys(PEOPLE)] as Who[];
  const may = people.find((who) => who !== 'reviewer' && (!roles || PEOPLE[who].roles.some((r) => roles.includes(r))));
  if (!may) throw new Error(`nobody of the demo may open a screen for ${roles?.join()}`);
  return may;
}

describeWith('chromium', 'Every page', (chromiumPath) => {
  onDemo(chromiumPath);

  let axe: string;

  beforeAll(async () => {
    axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
  });

  async function addressOf(api: Api, { path }: Registered): Promise<string> {
    if (!path.includes(':')) return path;
    const filled = FILLED[path];
    if (filled === undefined) throw new Error(`say in FILLED how ${path} is opened`);
    const before = path.slice(0, path.indexOf(':'));
    if (typeof filled === 'string') return before + filled;
    const [list, pick] = filled;
    const answer = await api.get<Line[] | Record<string, Line[]>>(list);
    const lines = Array.isArray(answer)
      ? answer
      : Object.values(answer).find((each): each is Line[] => Array.isArray(each));
    // Of protocols, one of which there are two revisions.
    const line = lines?.find(({ revisions }) => !revisions || revisions.length > 1);
    if (!line) throw new Error(`the demo has nothing in ${list}, so that ${path} cannot be opened`);
    return before + pick(line);
  }

  /** What is wrong with the screens as one person sees them. */
  async function look(who: Who, screens: readonly Registered[], director: Api): Promise<string[]> {
    const { page, errors } = await openPage(await browser.newContext({ reducedMotion: 'reduce' }));
    await signIn(page, demo.url, PEOPLE[who].login, PASSWORD);
    page.on('console', (message) => {
      if (message.type() === 'error') errors.push(`${message.text()} ${message.location().url}`);
    });
    const settled = settling(page);
    await page.evaluate(axe);
    const faults: string[] = [];
    for (const screen of screens) {
      const address = await addressOf(director, screen);
      for (const [colorScheme, width] of [
        ['light', 1280],
        ['dark', 390],
      ] as const) {
        await page.setViewportSize({ width, height: 900 });
        await page.emulateMedia({ colorScheme });
        if (width === 1280) {
          await page.evaluate(linkTo(address));
          await settled();
        }
        const found = [...errors.splice(0), ...(await page.evaluate<string[]>(LOOK))];
        if (width === 1280) found.push(...(await walk(page)));
        if (!(await page.title()).startsWith(`${screen.title} · `)) found.push(`titled ${await page.title()}`);
        faults.push(...found.map((fault) => `${screen.path}, ${who}, ${colorScheme}, ${width}: ${fault}`));
      }
      // Enlarged to 400 % on a desk, with the spacing of text that a reader may set, and on a wall.
      for (const width of [320, 2560]) {
        await page.setViewportSize({ width, height: 900 });
        const wide = await page.evaluate<string | null>(SPACED);
        if (wide !== null) faults.push(`${screen.path}, ${who}, ${width}: ${wide}`);
      }
    }
    return faults;
  }

  it('is whole and open to everybody whom it is for, light and wide or dark and narrow', async () => {
    const director = await Api.signIn(overHttp(demo.url), PEOPLE.director.login, PASSWORD);
    const workers = [...new Set(SCREENS.map(worker))];
    const faults = await Promise.all([
      ...workers.map((who) =>
        look(
          who,
          SCREENS.filter((screen) => worker(screen) === who),
          director,
        ),
      ),
      look(
        'reviewer',
        SCREENS.filter(({ review }) => review),
        director,
      ),
    ]);
    expect(faults.flat()).toEqual([]);
  }, 900_000);
});

/** Goes through a page by the Tab key from its beginning, until it ends or there were many; what was wrong on the way. */
async function walk(page: Page): Promise<string[]> {
  const faults: string[] = [];
  await page.evaluate(FROM_THE_TOP);
  for (let stop = 0; stop < MOST_STOPS; stop++) {
    await page.keyboard.press('Tab');
    const { ends, fault } = await page.evaluate<{ ends: boolean; fault: string | null }>(STOP);
    if (fault !== null) faults.push(fault);
    if (ends) break;
  }
  // What shows only while it has the focus must not lie over the next page.
  await page.evaluate('document.activeElement?.blur()');
  return faults;
}

const MOST_STOPS = 45;

const FROM_THE_TOP = `(() => {
  scrollTo(0, 0);
  document.activeElement?.blur();
  document.body.tabIndex = -1;
  document.body.focus();
  document.body.removeAttribute('tabindex');
  window.last = null;
})()`;

/**
 * What is wrong where the focus is. It moves on in the order of the page (WCAG 2.2, 2.4.3) and is held by nothing (2.1.2);
 * it shows (2.4.7); what has it is not wholly behind something else (2.4.11); the first stop leads past the navigation (2.4.1).
 */
const STOP = `(() => new Promise((tell) => requestAnimationFrame(() => {
  const at = document.activeElement;
  if (!at || at === document.body || at === document.documentElement) return tell({ ends: true, fault: null });
  const name = at.tagName + '.' + at.className + ' ' + (at.getAttribute('aria-label') ?? at.textContent ?? '').trim().slice(0, 40);
  const faults = [];
  if (window.last === null && !(at.tagName === 'A' && at.getAttribute('href')?.startsWith('#'))) faults.push('no way past the navigation comes first');
  if (window.last === at) faults.push('is not left by Tab');
  // A group has one stop, wherever in it: to be after where it begins is enough.
  if (window.last !== null && !(window.last.compareDocumentPosition(at) & Node.DOCUMENT_POSITION_FOLLOWING)) return tell({ ends: true, fault: null });
  window.last = at;
  const shows = [at, at.closest('label'), at.closest('[data-focus-visible]'), at.parentElement].some((each) => {
    if (!each) return false;
    const { outlineStyle, outlineWidth, boxShadow } = getComputedStyle(each);
    return (outlineStyle !== 'none' && parseFloat(outlineWidth) > 0) || boxShadow !== 'none';
  });
  if (!shows) faults.push('has a focus that does not show');
  const seen = at.closest('label') ?? at;
  const { left, top, width, height } = seen.getBoundingClientRect();
  const free = [0.1, 0.5, 0.9].some((x) => [0.1, 0.5, 0.9].some((y) => {
    const hit = document.elementFromPoint(left + width * x, top + height * y);
    return hit !== null && (seen.contains(hit) || hit.contains(seen));
  }));
  if (!free) faults.push('is behind something else or out of sight at ' + Math.round(left) + ', ' + Math.round(top));
  tell({ ends: false, fault: faults.length === 0 ? null : name + ' ' + faults.join('; ') });
})))()`;

/** Goes to an address as a link does, so that the program is not loaded anew for each page; runs in the page. */
const linkTo = (address: string): string => `
  history.pushState(null, '', ${JSON.stringify(address)});
  dispatchEvent(new Event('stainwright:address'));`;

/** Waits until a page is there and nothing more was asked of the server for a while; its live feed never ends. */
function settling(page: Page): () => Promise<void> {
  const open = new Set<Request>();
  let last = Date.now();
  page.on('request', (request) => {
    if (!request.url().endsWith('/api/live')) open.add(request);
  });
  const close = (request: Request): void => {
    open.delete(request);
    last = Date.now();
  };
  page.on('requestfinished', close).on('requestfailed', close);
  return async () => {
    last = Date.now();
    await page.locator('h1').first().waitFor();
    while (open.size > 0 || Date.now() - last < QUIET_MS) await page.waitForTimeout(QUIET_MS / 4);
  };
}

const QUIET_MS = 120;

/**
 * What is wrong with the page that is open, in words. Every rule of axe-core, with target size (WCAG 2.2, 2.5.8), which
 * it leaves out unless asked; one heading of the first level (2.4.6); each cell of a table names its column; no scrolling in
 * two directions (1.4.10).
 */
const LOOK = `(async () => {
  const { violations } = await axe.run({ rules: { 'target-size': { enabled: true } }, resultTypes: ['violations'] });
  const faults = violations.map(({ id, nodes }) => id + ' (' + nodes.length + '): ' + nodes[0].html.slice(0, 160) + ' ' + (nodes[0].failureSummary ?? '').slice(0, 300));
  const headings = document.querySelectorAll('h1').length;
  if (headings !== 1) faults.push(headings + ' headings of the first level');
  // On a phone a row is a card, in which a cell has nothing else to say what it is.
  const unnamed = [...document.querySelectorAll('.table-place tbody td:not([data-label], [colspan])')].filter((cell) => cell.textContent.trim() !== '');
  if (unnamed.length > 0) faults.push(unnamed.length + ' cells of a table without the name of their column: ' + unnamed[0].outerHTML.slice(0, 160));
  if (document.documentElement.scrollWidth > innerWidth) faults.push('scrolls sideways: ' + document.documentElement.scrollWidth);
  return faults;
})()`;

/** Whether a page scrolls sideways with text spaced as WCAG 2.2, 1.4.12 says; reflow is 1.4.10, at 320 CSS pixels. */
const SPACED = `(() => {
  const style = document.head.appendChild(document.createElement('style'));
  style.textContent = '* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important; } p { margin-bottom: 2em !important; }';
  const { scrollWidth } = document.documentElement;
  const widest = [...document.querySelectorAll('main *')].filter((each) => each.getBoundingClientRect().right > innerWidth + 1);
  const first = widest[0] ? widest[0].className + ' ' + widest[0].tagName : '';
  style.remove();
  return scrollWidth > innerWidth ? 'scrolls sideways when spaced: ' + scrollWidth + ' by ' + first : null;
})()`;
