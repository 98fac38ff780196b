import { beforeAll, describe, expect, it } from '@jest/globals';
import { cp, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import {
  readFolder,
  readProtocolFile,
  readRecipesFile,
  readSourcesFile,
} from '../../../src/modules/protocols/read-file.js';
import type { FileProblem, ProtocolFolder } from '../../../src/modules/protocols/read-file.js';

const FOLDER = 'protocols';
let shipped: ProtocolFolder;
let harris: string;

beforeAll(async () => {
  const read = await readFolder(FOLDER);
  if ('problems' in read) {
    throw new Error(read.problems.map((p) => `${p.file}:${p.line}:${p.column} ${p.message}`).join('\n'));
  }
  shipped = read;
  harris = await readFile(join(FOLDER, 'he-harris-regressive.yaml'), 'utf8');
});

function problems(text: string, name = 'he-harris-regressive.yaml'): FileProblem[] {
  const read = readProtocolFile(text, name, shipped.reagents, shipped.sources);
  return 'problems' in read ? read.problems : [];
}

/** Replaces the one occurrence of `from` and tells where the replacement, or `mark` within it, stands. */
function changed(from: string, to: string, mark = to): { text: string; line: number; column: number } {
  const at = harris.indexOf(from);
  expect(at).toBeGreaterThanOrEqual(0);
  const text = harris.slice(0, at) + to + harris.slice(at + from.length);
  const before = text.slice(0, text.indexOf(mark, at));
  return { text, line: before.split('\n').length, column: before.length - before.lastIndexOf('\n') };
}

describe('the shipped folder', () => {
  it('loads whole: 30 protocols, each under its own name', () => {
    expect(shipped.protocols).toHaveLength(30);
    expect(new Set(shipped.protocols.map((protocol) => protocol.id)).size).toBe(30);
  });

  it('has no reagent and no source that nothing names', () => {
    const named = new Set(
      [
        ...shipped.protocols.flatMap((protocol) => protocol.steps.map((step) => step.reagent)),
        ...shipped.reagents.flatMap((reagent) => reagent.acceptedInstead ?? []),
        ...shipped.recipes.flatMap(({ reagent, lines, buffer }) => [
          reagent,
          ...lines.flatMap((line) => [line.takes, ...(line.instead ?? []).map(({ takes }) => takes)]),
          ...(buffer ? [buffer.acid.takes, buffer.base.takes] : []),
        ]),
      ].filter((code) => code !== undefined),
    );
    // What has storage rules of its own is known whether or not a recipe takes it.
    const idle = shipped.reagents.filter(({ code, special }) => !named.has(code) && special === undefined);
    expect(idle.map(({ code }) => code)).toEqual([]);
  });

  it('opens every protocol with the warning that it is a draft, and points to the schema', async () => {
    for (const { id } of shipped.protocols) {
      const [first, second] = (await readFile(join(FOLDER, `${id}.yaml`), 'utf8')).split('\n');
      expect(first).toBe('# A draft with sources: set or confirm each figure in your own laboratory before use.');
      expect(second).toBe('# yaml-language-server: $schema=protocol.schema.json');
    }
  });
});

describe('a wrong file', () => {
  it.each<[string, string, string, string, string, RegExp]>([
    [
      'unknown key',
      '    vessel: staining dish',
      '    colour: blue\n    vessel: staining dish',
      'colour',
      'steps/0/colour',
      /unknown key "colour"; known here: id, action/,
    ],
    [
      'min above max',
      '{ min: 4, target: 5, max: 7, unit: min',
      '{ min: 9, target: 5, max: 7, unit: min',
      '9',
      'steps/7/time/min',
      /min 9 is above max 7/,
    ],
    [
      'max below target',
      '{ min: 4, target: 5, max: 7, unit: min',
      '{ min: 4, target: 5, max: 4.5, unit: min',
      '4.5',
      'steps/7/time/max',
      /max 4.5 is below target 5/,
    ],
    [
      'number as text',
      '{ min: 4, target: 5, max: 7, unit: min',
      "{ min: '4', target: 5, max: 7, unit: min",
      "'4'",
      'steps/7/time/min',
      /must be a number.*found the text "4"/,
    ],
    [
      'endless number',
      '{ min: 4, target: 5, max: 7, unit: min',
      '{ min: 4, target: 5, max: .inf, unit: min',
      '.inf',
      'steps/7/time/max',
      /must be a number.*found Infinity/,
    ],
    [
      'no number',
      '{ min: 4, target: 5, max: 7, unit: min',
      '{ min: .nan, target: 5, max: 7, unit: min',
      '.nan',
      'steps/7/time/min',
      /must be a number.*found NaN/,
    ],
    [
      'negative time',
      '{ min: 4, target: 5, max: 7, unit: min',
      '{ min: -4, target: 5, max: 7, unit: min',
      '-4',
      'steps/7/time/min',
      /must not be less than 0/,
    ],
    [
      'unknown unit of time',
      '{ min: 4, target: 5, max: 7, unit: min',
      '{ min: 4, target: 5, max: 7, unit: minutes',
      'minutes',
      'steps/7/time/unit',
      /must be one of the following values: ms, s, min, h, d; found the text "minutes"/,
    ],
    [
      'reagent not in the catalogue',
      'reagent: harris-haematoxylin',
      'reagent: harris-hematoxylin',
      'harris-hematoxylin',
      'steps/7/reagent',
      /"harris-hematoxylin" is not in the catalogue of reagents; did you mean "harris-haematoxylin"\?/,
    ],
    [
      'category that is none',
      'category: routine',
      'category: ordinary',
      'ordinary',
      'category',
      /must be one of the following values: routine, special/,
    ],
    ['empty value', 'setting: laboratory', 'setting:', '\nmaterial', 'setting', /found nothing/],
    [
      'source that is not listed',
      'sources: [memory, bancroft]',
      'sources: [memory, bancoft]',
      'bancoft',
      'steps/7/sources/1',
      /did you mean "bancroft"/,
    ],
    [
      'release after no step',
      'after: mount',
      'after: mounting',
      'mounting',
      'releasePoints/0/after',
      /there is no step "mounting"/,
    ],
    [
      'hazard code that is none',
      '[H290, H314, H335]',
      '[H290, H31, H335]',
      'H31,',
      'cautions/2/codes/1',
      /"H31" is no GHS hazard code/,
    ],
    ['id given twice', '  - id: dewax-2', '  - id: dewax-1', 'dewax-1', 'steps/1/id', /"dewax-1" stands twice/],
    [
      'a list where keys belong',
      'handsOn: { start: 15, end: 5 }',
      'handsOn: []',
      '[]',
      'steps/20/handsOn',
      /found a list/,
    ],
    [
      'null in a list',
      'sources: [memory, bancroft]',
      'sources: [memory, null]',
      '[memory',
      'steps/7/sources',
      /each value/,
    ],
  ])('%s: line, column, path and what would be right', (_name, from, to, mark, path, message) => {
    const { text, line, column } = changed(from, to, mark);
    const [first, ...others] = problems(text);
    expect(first).toMatchObject({ file: 'he-harris-regressive.yaml', message: expect.stringMatching(message) });
    expect(first?.path.join('/')).toBe(path);
    expect([first?.line, first?.column]).toEqual([line, column]);
    expect(others).toEqual([]);
  });

  it('names a missing key at what should hold it', () => {
    const { text } = changed('    vessel: staining dish\n', '', '    time');
    const step = harris.slice(0, harris.indexOf('- id: dewax-1') + 2).split('\n');
    expect(problems(text)).toEqual([
      {
        file: 'he-harris-regressive.yaml',
        line: step.length,
        column: 5,
        path: ['steps', 0, 'vessel'],
        message: expect.stringMatching(/^"vessel" is missing; vessel must be/),
      },
    ]);
  });

  it('tells every problem at once, in the order of the file', () => {
    const text = harris.replace('category: routine', 'category: ordinary').replace('critical: true', 'critical: yes');
    const found = problems(text);
    expect(found.map((problem) => problem.path.join('/'))).toEqual(['category', 'steps/7/critical']);
    expect(found[0]!.line).toBeLessThan(found[1]!.line);
  });

  it.each<[string, (text: string) => string, RegExp, number]>([
    ['a tab for an indent', (text) => text.replace('  form: section', '\tform: section'), /[Tt]ab/, 10],
    [
      'a key twice',
      (text) => text.replace('setting: laboratory', 'setting: laboratory\nsetting: bedside'),
      /unique/,
      9,
    ],
    ['a second document', (text) => `${text}---\n${text}`, /multiple documents/, 0],
    ['a tag', (text) => text.replace('title: ', 'title: !!binary '), /tag/, 5],
    ['an anchor', (text) => text.replace('title: ', 'title: &name '), /anchors and aliases are not used here/, 5],
    ['a broken line', (text) => text.replace('setting: laboratory', 'setting: "laboratory'), /not YAML/, 0],
  ])('%s is refused', (_name, mutate, message, line) => {
    const [first] = problems(mutate(harris));
    expect(first?.message).toMatch(message);
    if (line > 0) {
      expect(first?.line).toBe(line);
    }
  });

  it('refuses an alias bomb at its first anchor and does not expand it', () => {
    const bomb = Array.from(
      { length: 30 },
      (_, i) => `k${i}: &a${i} [${i === 0 ? 'x' : `*a${i - 1},*a${i - 1}`}]`,
    ).join('\n');
    const [first] = problems(bomb);
    expect(first).toMatchObject({ line: 1, message: expect.stringMatching(/anchors and aliases/) });
  });

  it('takes a merge key for an unknown key', () => {
    const { text, line } = changed('  form: section', '  <<: { form: section }\n  form: section', '<<');
    expect(problems(text)).toMatchObject([{ line, column: 3, message: expect.stringMatching(/unknown key "<<"/) }]);
  });

  it.each(['__proto__', 'constructor', 'toString', 'hasOwnProperty'])('takes %s for an unknown key', (key) => {
    const { text, line } = changed('  form: section', `  ${key}: { polluted: true }\n  form: section`, key);
    expect(problems(text)).toMatchObject([
      { line, column: 3, message: `unknown key "${key}"; no file and no body here has one` },
    ]);
    expect(({} as { polluted?: boolean }).polluted).toBeUndefined();
  });

  it.each<[string, string]>([
    ['nothing', ''],
    ['a comment', '# nothing here\n'],
    ['a word', 'protocol\n'],
    ['a list', '- format: stainwright-protocol/1\n'],
  ])('%s is no protocol', (_name, text) => {
    const [first] = problems(text);
    expect(first).toMatchObject({ path: [], message: expect.stringMatching(/must be keys with values/) });
    expect(first!.line).toBeGreaterThanOrEqual(1);
  });

  it('must bear the name of its id', () => {
    const [first] = problems(harris, 'he.yaml');
    expect(first).toMatchObject({
      file: 'he.yaml',
      line: 4,
      column: 5,
      message: expect.stringMatching(/name the file he-harris-regressive.yaml/),
    });
  });
});

describe('a folder', () => {
  it('is not half loaded: one wrong file and nothing of it is given', async () => {
    const dir = await mkdtemp(join(tmpdir(), 'protocols-'));
    try {
      await cp(FOLDER, dir, { recursive: true });
      await writeFile(join(dir, 'pas.yaml'), 'format: stainwright-protocol/1\n');
      const read = await readFolder(dir);
      expect(Object.keys(read)).toEqual(['problems']);
      expect('problems' in read && read.problems.every((problem) => problem.file === 'pas.yaml')).toBe(true);
    } finally {
      await rm(dir, { recursive: true });
    }
  });

  it('says which file of the two that others rest on is missing', async () => {
    const dir = await mkdtemp(join(tmpdir(), 'protocols-'));
    try {
      await cp(join(FOLDER, 'sources.yaml'), join(dir, 'sources.yaml'));
      await expect(readFolder(dir)).resolves.toMatchObject({ problems: [{ file: 'catalogue.yaml' }] });
    } finally {
      await rm(dir, { recursive: true });
    }
  });

  it('refuses a source given twice', () => {
    const entry = '  - { key: a, citation: A, kind: paper, seen: whole }\n';
    expect(readSourcesFile(`format: stainwright-sources/1\nsources:\n${entry}${entry}`, 'sources.yaml')).toMatchObject({
      problems: [{ line: 4, column: 12, message: '"a" stands twice; give each its own key' }],
    });
  });
});

describe('the worked example of the README', () => {
  it('is a right file', async () => {
    const example = /```yaml\n([\s\S]*?)```/.exec(await readFile(join(FOLDER, 'README.md'), 'utf8'))?.[1];
    expect(problems(example!, 'example-fresh.yaml')).toEqual([]);
  });

  it('of a recipe is one of those that ship, shortened', async () => {
    const blocks = (await readFile(join(FOLDER, 'README.md'), 'utf8')).matchAll(/```yaml\n([\s\S]*?)```/g);
    const recipe = [...blocks].map(([, text]) => text!).find((text) => text.startsWith('- code:'))!;
    const file = `format: stainwright-recipes/1\nrecipes:\n${recipe.replaceAll(/^/gm, '  ')}`;
    const read = readRecipesFile(file, 'recipes.yaml', shipped.reagents, shipped.sources);
    expect('problems' in read ? read.problems : read.recipes).toMatchObject([{ code: 'buffered-water' }]);
  });
});

describe('a wrong recipe', () => {
  it('is told with line and column', async () => {
    const text = await readFile(join(FOLDER, 'recipes.yaml'), 'utf8');
    const wrong = text.replace('takes: sodium-chloride', 'takes: sodium-chlorid');
    const line = text.slice(0, text.indexOf('takes: sodium-chloride')).split('\n').length;
    const read = readRecipesFile(wrong, 'recipes.yaml', shipped.reagents, shipped.sources);
    expect(read).toMatchObject({
      problems: [{ line, message: expect.stringContaining('did you mean "sodium-chloride"') }],
    });
  });
});
