import { describe, expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import type { AnySchemaObject } from 'ajv/dist/2020.js';
import { parse } from 'yaml';
import { CatalogueDto, SourceListDto } from '../../src/contract/catalogue.dto.js';
import { formProblems } from '../../src/contract/form.js';
import { ProtocolDto } from '../../src/contract/protocol.dto.js';
import { RecipeListFileDto } from '../../src/contract/recipes.dto.js';

type Json = string | number | boolean | null | Json[] | { [key: string]: Json };
interface Mutation {
  name: string;
  value: Json;
}

const load = (name: string) => readFileSync(`protocols/${name}`, 'utf8');
const schema = (name: string) => new Ajv2020({ strict: true }).compile(JSON.parse(load(name)) as AnySchemaObject);

/** What may stand in place of any value: other kinds, ends of ranges, text at and past the lengths that the files allow. */
const SUBSTITUTES: Json[] = [
  null,
  true,
  false,
  0,
  -1,
  1.5,
  1e9,
  Infinity,
  NaN,
  '',
  ' ',
  '20',
  'proposal',
  'no-such-word',
  'Has-Capitals',
  'two words',
  'under_score',
  'x'.repeat(64),
  'x'.repeat(65),
  '\u{1F9EA}'.repeat(200),
  '\u{1F9EA}'.repeat(201),
  'x'.repeat(1000),
  'x'.repeat(1001),
  [],
  ['x'],
  [null],
  [[]],
  [{}],
  {},
  { text: 'x' },
];

function size(value: Json | undefined): number {
  return typeof value === 'object' && value !== null ? Object.keys(value).length : 0;
}

/** Every file that differs from `root` at one place: a key missing, unknown or renamed, a value of another kind or out of range. */
function mutations(root: Json): Mutation[] {
  const found: Mutation[] = [];
  const visit = (value: Json, path: string[], put: (replacement: Json) => Json) => {
    for (const substitute of SUBSTITUTES) {
      found.push({
        name: `${path.join('/') || 'root'} = ${String(JSON.stringify(substitute)).slice(0, 30)}`,
        value: put(substitute),
      });
    }
    if (Array.isArray(value)) {
      // The members of a list have one shape, so the one that shows most of it stands for the others.
      const richest = value.reduce<number>((best, item, k) => (size(item) > size(value[best]) ? k : best), 0);
      if (value.length > 0) {
        visit(value[richest]!, [...path, String(richest)], (replacement) =>
          put(value.map((other, k) => (k === richest ? replacement : other))),
        );
      }
      for (const length of [21, 51, 101, ...(path.length === 1 ? [2001] : [])]) {
        found.push({
          name: `${path.join('/')} of ${length}`,
          value: put(Array.from({ length }, () => value[0] ?? null)),
        });
      }
    } else if (typeof value === 'object' && value !== null) {
      found.push({ name: `${path.join('/')} with an unknown key`, value: put({ ...value, unheardOf: 1 }) });
      for (const [key, inner] of Object.entries(value)) {
        const { [key]: _gone, ...rest } = value;
        found.push({ name: `${[...path, key].join('/')} missing`, value: put(rest) });
        found.push({
          name: `${[...path, key].join('/')} renamed`,
          value: put({ ...rest, [key.toUpperCase()]: inner }),
        });
        visit(inner, [...path, key], (replacement) => put({ ...value, [key]: replacement }));
      }
    }
  };
  visit(root, [], (replacement) => replacement);
  return found;
}

/** One member of each list that has members of one shape. */
function keepFirst(protocol: Record<string, Json[]>): void {
  for (const key of ['controls', 'cautions', 'fitness', 'storage', 'releasePoints']) {
    protocol[key] = protocol[key]!.slice(0, 1);
  }
}

/** Lists cut to what shows every key, so that thousands of mutations stay quick. */
function sample(name: string, cut: (content: Record<string, Json[]>) => void): Json {
  const content = parse(load(name)) as Record<string, Json[]>;
  cut(content);
  return content;
}

describe.each<[string, string, new () => object, Json]>([
  [
    'a bedside protocol',
    'protocol.schema.json',
    ProtocolDto,
    sample('ao-fresh.yaml', (p) => {
      p['steps'] = p['steps']!.slice(2, 3);
      keepFirst(p);
    }),
  ],
  [
    'a protocol with a recorded temperature, dips and an optional step',
    'protocol.schema.json',
    ProtocolDto,
    sample('he-rapid.yaml', (p) => {
      const full = {
        gap: { max: 5, unit: 's', status: 'proposal', why: 'x' },
        temperature: { target: 97, min: 90, max: 99, unit: 'Cel', status: 'proposal', record: true },
      };
      p['steps'] = p['steps']!.slice(4, 5).map(
        (step) => ({ ...(step as object), ...full, optional: true, offence: 'caution' }) as Json,
      );
      keepFirst(p);
    }),
  ],
  [
    'the catalogue',
    'catalogue.schema.json',
    CatalogueDto,
    sample(
      'catalogue.yaml',
      (c) =>
        (c['reagents'] = c['reagents']!.filter((r) =>
          ['nbf-10', 'saline-or-pbs', 'schiff-reagent'].includes((r as { code: string }).code),
        )
          .map((r) => ({ ...(r as object), unit: 'mL' }) as Json)
          .reverse()),
    ),
  ],
  [
    'the list of sources',
    'sources.schema.json',
    SourceListDto,
    sample('sources.yaml', (s) => (s['sources'] = s['sources']!.slice(0, 2))),
  ],
  [
    'the recipes',
    'recipes.schema.json',
    RecipeListFileDto,
    sample('recipes.yaml', (r) => {
      const full = r['recipes']!.find((each) => (each as { code: string }).code === 'tris-buffer') as {
        lines: object[];
      };
      const quantity = { value: 1, unit: 'g' };
      const line = {
        takes: 'tris',
        amount: quantity,
        weigh: quantity,
        dilute: { from: quantity, to: quantity },
        formula: 'NaCl',
        instead: [{ takes: 'tris', formula: 'NaCl' }],
        untilReading: true,
        makeUpTo: true,
        how: 'x',
      };
      r['recipes'] = [{ ...full, lines: [line], finish: ['x'], cautions: ['x'], tolerance: 5 } as Json];
    }),
  ],
])('%s', (_name, file, type, root) => {
  const ofSchema = schema(file);

  it('is right by the published schema and by the validator', () => {
    expect(ofSchema(root)).toBe(true);
    expect(formProblems(type, root)).toEqual([]);
  });

  it('and each of its mutations is judged alike by both', () => {
    const corpus = mutations(root);
    const disagreed: string[] = [];
    let refused = 0;
    for (const { name, value } of corpus) {
      const bySchema = ofSchema(value);
      const byValidator = formProblems(type, value).length === 0;
      if (bySchema !== byValidator) {
        disagreed.push(
          `${name}: schema ${bySchema ? 'accepts' : 'refuses'}, validator ${byValidator ? 'accepts' : 'refuses'}`,
        );
      }
      refused += bySchema ? 0 : 1;
    }
    expect(disagreed).toEqual([]);
    expect(refused).toBeGreaterThan(100);
    expect(corpus.length - refused).toBeGreaterThan(10);
  });
});

describe('every shipped file', () => {
  it('is right by the published schemas', async () => {
    const { readdirSync } = await import('node:fs');
    const check = schema('protocol.schema.json');
    const names = readdirSync('protocols').filter(
      (name) => name.endsWith('.yaml') && !['catalogue.yaml', 'recipes.yaml', 'sources.yaml'].includes(name),
    );
    expect(names).toHaveLength(30);
    for (const name of names) {
      expect([name, check(parse(load(name)))]).toEqual([name, true]);
    }
    expect(schema('catalogue.schema.json')(parse(load('catalogue.yaml')))).toBe(true);
    expect(schema('sources.schema.json')(parse(load('sources.yaml')))).toBe(true);
    expect(schema('recipes.schema.json')(parse(load('recipes.yaml')))).toBe(true);
  });

  it('has a description at every property of the schemas', () => {
    const undescribed: string[] = [];
    const visit = (node: unknown, path: string) => {
      if (typeof node !== 'object' || node === null) {
        return;
      }
      for (const [key, value] of Object.entries(node)) {
        if (key === 'properties') {
          for (const [name, property] of Object.entries(value as Record<string, { description?: string }>)) {
            if (!property.description) {
              undescribed.push(`${path}/${name}`);
            }
          }
        }
        visit(value, `${path}/${key}`);
      }
    };
    for (const name of ['protocol', 'catalogue', 'recipes', 'sources']) {
      visit(JSON.parse(load(`${name}.schema.json`)), name);
    }
    expect(undescribed).toEqual([]);
  });
});
